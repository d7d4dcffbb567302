"""Settings: defaults that work, secrets that are secret."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
from pydantic import ValidationError

from webapp.common.settings import Settings


def test_a_database_without_setting_is_a_file_in_the_data_folder(tmp_path: Path) -> None:
    settings = Settings(data_folder=tmp_path, database_url=None)
    assert settings.database_address() == f"sqlite:///{tmp_path}/configurator.sqlite"


@pytest.mark.parametrize("scheme", ["postgresql", "postgres", "postgresql+psycopg"])
def test_a_postgresql_address_names_its_driver(scheme: str) -> None:
    settings = Settings(database_url=f"{scheme}://b:pw@db:5432/bikes")
    assert settings.database_address() == "postgresql+psycopg://b:pw@db:5432/bikes"


def test_settings_come_from_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DATABASE_URL", "sqlite:///elsewhere.sqlite")
    monkeypatch.setenv("PORT", "8123")
    monkeypatch.setenv("BASE_URL", "https://bikes.example.org/")
    settings = Settings()
    assert settings.database_address() == "sqlite:///elsewhere.sqlite"
    assert (settings.port, settings.base_url) == (8123, "https://bikes.example.org")


def test_a_generated_secret_is_kept_and_readable_by_its_owner_alone(tmp_path: Path) -> None:
    folder = tmp_path / "new"
    first = Settings(data_folder=folder, secret_key=None).secret()
    again = Settings(data_folder=folder, secret_key=None).secret()
    assert first == again
    assert len(first) >= 32
    assert stat.S_IMODE((folder / "secret_key").stat().st_mode) == 0o600
    assert [file.name for file in folder.iterdir()] == ["secret_key"]


def test_two_installations_do_not_share_a_secret(tmp_path: Path) -> None:
    secrets = {Settings(data_folder=tmp_path / n, secret_key=None).secret() for n in "ab"}
    assert len(secrets) == 2


@pytest.mark.parametrize("key", ["short", "changeme" * 6, "your-secret-key-goes-here-please-now!!"])
def test_a_placeholder_secret_refuses_to_start(key: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SECRET_KEY", key)
    with pytest.raises(ValidationError, match="SECRET_KEY must be 32 or more random characters"):
        Settings()


def test_a_given_secret_is_used_and_never_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    key = "q8d0Zs1vK3nT6yB9wE2rU5iO7pA4sD1f"
    monkeypatch.setenv("SECRET_KEY", key)
    settings = Settings()
    assert settings.secret() == key.encode()
    assert key not in repr(settings)


def test_a_base_address_is_a_web_address() -> None:
    with pytest.raises(ValidationError, match="http"):
        Settings(base_url="bikes.example.org")


def test_every_setting_has_a_help_text() -> None:
    assert [n for n, field in Settings.model_fields.items() if not field.description] == []


def test_trusted_proxies_are_addresses_and_networks() -> None:
    given = Settings(trusted_proxies=" 127.0.0.1, 10.1.0.0/24,::1 ,")
    assert given.trusted_proxies == "127.0.0.1,10.1.0.0/24,::1"
    for wrong in ("proxy.example", "10.1.0.1/24", "*", "0.0.0.0/0"):
        with pytest.raises(ValidationError, match="TRUSTED_PROXIES"):
            Settings(trusted_proxies=wrong)
