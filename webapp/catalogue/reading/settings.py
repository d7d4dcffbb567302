"""The shop's settings as they are now."""

from __future__ import annotations

from sqlmodel import Session

from webapp.catalogue.schema.shop import ShopSettings
from webapp.catalogue.tables import ShopSetting
from webapp.common.errors import NotFound
from webapp.common.text.language import tr


def settings_data(session: Session) -> ShopSettings:
    """The shop's settings.

    Raises
    ------
    NotFound
        Before they were set.
    """
    row = session.get(ShopSetting, 1)
    if row is None:
        raise NotFound("settings", None, tr("set the shop's settings first"))
    return ShopSettings.model_validate(row.data)
