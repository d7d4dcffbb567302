"""What a password costs whoever steals the hashes; every other test hashes with little work."""

from __future__ import annotations

import importlib.util

from webapp.accounts import passwords


def test_a_hash_is_argon2id_with_the_second_setting_that_its_rfc_recommends() -> None:
    """RFC 9106, section 4: t = 3 iterations, p = 4 lanes, m = 2^16 KiB, 128 bits of salt [M]."""
    # a fresh copy of the module, since the tests' own hasher stands in the one in use
    spec = importlib.util.find_spec(passwords.__name__)
    assert spec is not None
    assert spec.loader is not None
    shipped = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(shipped)
    kept = shipped.hash_password("kiln heather axle gravel")
    _, kind, version, cost, salt, _ = kept.split("$")
    assert (kind, version, cost) == ("argon2id", "v=19", "m=65536,t=3,p=4")
    assert len(salt) * 6 >= 128  # base64 without padding
    assert shipped.is_right("kiln heather axle gravel", kept)
    assert not shipped.is_right("kiln heather axle gravel", None)
