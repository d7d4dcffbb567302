"""The two models as the shop of a test has them now."""

from __future__ import annotations

import pytest
from sqlalchemy import Engine

from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.storage.database import reading


@pytest.fixture
def knapweed(shop: Engine) -> Catalogue:
    """The Knapweed's newest revision."""
    with reading(shop) as session:
        return load_catalogue(session, "knapweed")


@pytest.fixture
def burdock(shop: Engine) -> Catalogue:
    """The Burdock's newest revision."""
    with reading(shop) as session:
        return load_catalogue(session, "burdock")
