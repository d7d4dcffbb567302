"""The demo catalogue as it ships, for what is measured by hand."""

from __future__ import annotations

from pathlib import Path

from webapp.catalogue.reading.load import list_models, load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.setup import prepare
from webapp.common.storage.database import make_engine, reading


def shipped_catalogues(folder: Path) -> dict[str, Catalogue]:
    """The newest published revision of every model, from a database made in a folder."""
    engine = make_engine(f"sqlite:///{folder / 'shipped.sqlite'}")
    prepare(engine)
    with reading(engine) as session:
        found = {model.slug: load_catalogue(session, model.slug) for model in list_models(session)}
    engine.dispose()
    return found
