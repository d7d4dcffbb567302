"""Database rows of the catalogue.

Columns named ``data`` hold JSON that has passed the data class of its kind; rows
are written only through the ``writing`` modules, which validate, and read only
through ``reading``, which turns them into views.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any, ClassVar
from uuid import uuid4

from sqlalchemy import (
    JSON,
    BigInteger,
    CheckConstraint,
    Column,
    DateTime,
    Text,
    UniqueConstraint,
    text,
)
from sqlmodel import Field, SQLModel

PUBLISHED = "published"
DRAFT = "draft"
WITHDRAWN = "withdrawn"
ACTIVE = "active"
RETIRED = "retired"
SHOWN = "shown"
HIDDEN = "hidden"
IN_FORCE = "in force"
TAKEN_BACK = "taken back"
GROUP = "group"
REGION = "region"


def _json() -> Any:
    return Field(sa_type=JSON)


class FrameModel(SQLModel, table=True):
    """A frame model.

    Hidden, it is in no list, but opens and can be ordered by whoever has its address;
    retired, it opens and can no longer be ordered.
    """

    __tablename__: ClassVar[Any] = "frame_model"

    id: int | None = Field(default=None, primary_key=True)
    slug: str = Field(unique=True, max_length=60)
    name: str = Field(max_length=120)
    summary: str = ""
    position: int = 0
    state: str = Field(
        default=SHOWN, max_length=20, sa_column_kwargs={"server_default": text(f"'{SHOWN}'")}
    )


class FrameRevision(SQLModel, table=True):
    """One revision of a model: draft, published or withdrawn."""

    __tablename__: ClassVar[Any] = "frame_revision"
    __table_args__ = (
        UniqueConstraint("model_id", "number"),
        CheckConstraint(f"state IN ('{DRAFT}', '{PUBLISHED}', '{WITHDRAWN}')", name="state"),
    )

    id: int | None = Field(default=None, primary_key=True)
    model_id: int = Field(foreign_key="frame_model.id")
    number: int
    state: str = Field(default=DRAFT, max_length=20)
    published_on: date | None = None
    withdrawn_on: date | None = None
    withdrawn_reason: str = ""
    changelog: str = ""
    data: dict[str, Any] = _json()


class FrameSize(SQLModel, table=True):
    """One size of a revision."""

    __tablename__: ClassVar[Any] = "frame_size"
    __table_args__ = (UniqueConstraint("revision_id", "slug"),)

    id: int | None = Field(default=None, primary_key=True)
    revision_id: int = Field(foreign_key="frame_revision.id")
    slug: str = Field(max_length=60)
    name: str = Field(max_length=120)
    position: int
    data: dict[str, Any] = _json()


class Part(SQLModel, table=True):
    """A part of any kind; ``kind`` says which class its data has passed."""

    __tablename__: ClassVar[Any] = "part"
    __table_args__ = (
        UniqueConstraint("kind", "slug"),
        CheckConstraint(f"state IN ('{ACTIVE}', '{RETIRED}')", name="state"),
    )

    id: int | None = Field(default=None, primary_key=True)
    kind: str = Field(max_length=40)
    slug: str = Field(max_length=60)
    name: str = Field(max_length=120)
    state: str = Field(default=ACTIVE, max_length=20)
    replaced_by_id: int | None = Field(default=None, foreign_key="part.id", index=True)
    data: dict[str, Any] = _json()


class Offer(SQLModel, table=True):
    """A part offered for a model, its place in the list, and whether it is the usual one."""

    __tablename__: ClassVar[Any] = "offer"
    __table_args__ = (UniqueConstraint("model_id", "part_id"),)

    id: int | None = Field(default=None, primary_key=True)
    model_id: int = Field(foreign_key="frame_model.id")
    part_id: int = Field(foreign_key="part.id", index=True)
    position: int
    standard: bool = False


class PriceScope(SQLModel, table=True):
    """A group of customers, or a region of countries, that price lists can be for."""

    __tablename__: ClassVar[Any] = "price_scope"
    __table_args__ = (
        UniqueConstraint("kind", "slug"),
        CheckConstraint(f"kind IN ('{GROUP}', '{REGION}')", name="kind"),
    )

    id: int | None = Field(default=None, primary_key=True)
    kind: str = Field(max_length=20)
    slug: str = Field(max_length=60)
    name: str = Field(max_length=120)
    countries: list[str] = Field(default_factory=list, sa_type=JSON)


class PriceList(SQLModel, table=True):
    """A price list with its days, and whom and where it is for: slugs, empty for everybody.

    Of the lists that are valid on a day the most specific for the buyer counts, and of these
    the newest; see `webapp.catalogue.reading.prices`.
    """

    __tablename__: ClassVar[Any] = "price_list"
    __table_args__ = (
        CheckConstraint("valid_to IS NULL OR valid_to >= valid_from", name="valid_days"),
    )

    id: int | None = Field(default=None, primary_key=True)
    slug: str = Field(unique=True, max_length=60)
    name: str = Field(max_length=120)
    currency: str = Field(max_length=3)
    valid_from: date
    valid_to: date | None = None
    tax_included: bool = True
    customer_group: str = Field(
        default="", max_length=60, sa_column_kwargs={"server_default": text("''")}
    )
    region: str = Field(default="", max_length=60, sa_column_kwargs={"server_default": text("''")})


class Price(SQLModel, table=True):
    """Price in minor units of a part, of a model's frame, or the surcharge of one size.

    ``size`` is empty for the frame's own price.
    """

    __tablename__: ClassVar[Any] = "price"
    __table_args__ = (
        UniqueConstraint("price_list_id", "part_id"),
        UniqueConstraint("price_list_id", "model_id", "size"),
        CheckConstraint("(part_id IS NULL) <> (model_id IS NULL)", name="one_thing"),
        CheckConstraint("minor >= 0", name="not_negative"),
    )

    id: int | None = Field(default=None, primary_key=True)
    price_list_id: int = Field(foreign_key="price_list.id")
    part_id: int | None = Field(default=None, foreign_key="part.id", index=True)
    model_id: int | None = Field(default=None, foreign_key="frame_model.id", index=True)
    size: str = Field(default="", max_length=60)
    minor: int = Field(sa_type=BigInteger)


class Cost(SQLModel, table=True):
    """What a part or a model's frame costs the shop itself, in minor units; for the builder alone.

    ``size`` is empty for the frame's own cost.
    """

    __tablename__: ClassVar[Any] = "cost"
    __table_args__ = (
        UniqueConstraint("part_id"),
        UniqueConstraint("model_id", "size"),
        CheckConstraint("(part_id IS NULL) <> (model_id IS NULL)", name="one_thing"),
        CheckConstraint("minor >= 0", name="not_negative"),
    )

    id: int | None = Field(default=None, primary_key=True)
    part_id: int | None = Field(default=None, foreign_key="part.id", index=True)
    model_id: int | None = Field(default=None, foreign_key="frame_model.id", index=True)
    size: str = Field(default="", max_length=60)
    minor: int = Field(sa_type=BigInteger)
    currency: str = Field(max_length=3)


class CatalogueChange(SQLModel, table=True):
    """Changes of parts, offers and prices that take hold together, and can be taken back together.

    ``rows`` says of every row by its name how it was and how it is to be.
    """

    __tablename__: ClassVar[Any] = "catalogue_change"

    id: int | None = Field(default=None, primary_key=True)
    title: str = Field(max_length=200)
    address: str = Field(max_length=200)
    state: str = Field(default=DRAFT, max_length=20)
    who: str = Field(max_length=120)
    at: datetime = Field(sa_column=Column(DateTime(timezone=True), nullable=False))
    taken_by: str = Field(default="", max_length=120)
    taken_at: datetime | None = Field(
        default=None, sa_column=Column(DateTime(timezone=True), nullable=True)
    )
    rows: list[dict[str, Any]] = Field(sa_type=JSON)


class RidingStyle(SQLModel, table=True):
    """A riding style with its posture windows; removed, it stays readable where it was chosen."""

    __tablename__: ClassVar[Any] = "riding_style"
    __table_args__ = (CheckConstraint(f"state IN ('{ACTIVE}', '{RETIRED}')", name="state"),)

    id: int | None = Field(default=None, primary_key=True)
    slug: str = Field(unique=True, max_length=60)
    name: str = Field(max_length=120)
    position: int
    state: str = Field(
        default=ACTIVE, max_length=20, sa_column_kwargs={"server_default": text(f"'{ACTIVE}'")}
    )
    data: dict[str, Any] = _json()


class ShopSetting(SQLModel, table=True):
    """The shop's settings: one row."""

    __tablename__: ClassVar[Any] = "shop_setting"
    __table_args__ = (CheckConstraint("id = 1", name="one_row"),)

    id: int = Field(default=1, primary_key=True)
    data: dict[str, Any] = _json()


class ShopMark(SQLModel, table=True):
    """A firm's mark as it is served, by its fingerprint; quotes made with it keep it."""

    __tablename__: ClassVar[Any] = "shop_mark"

    fingerprint: str = Field(primary_key=True, max_length=64)
    media_type: str = Field(max_length=40)
    content: str = Field(sa_type=Text)  # base64, so that it leaves and comes back as JSON


class TradeName(SQLModel, table=True):
    """What the code of a fitting standard is called in the trade.

    ``joint`` names the list that the builder has put it into; empty where only use says so.
    """

    __tablename__: ClassVar[Any] = "trade_name"

    id: int | None = Field(default=None, primary_key=True)
    code: str = Field(unique=True, max_length=40)
    name: str = Field(max_length=120)
    joint: str = Field(default="", max_length=40, sa_column_kwargs={"server_default": text("''")})


class Edit(SQLModel, table=True):
    """Who changed which row when, with the row before and after (None: not there)."""

    __tablename__: ClassVar[Any] = "catalogue_edit"

    id: int | None = Field(default=None, primary_key=True)
    at: datetime = Field(
        default_factory=lambda: datetime.now(UTC),
        sa_column=Column(DateTime(timezone=True), nullable=False, index=True),
    )
    who: str = Field(max_length=120)
    row_table: str = Field(max_length=40)
    row_key: str = Field(max_length=200, index=True)
    before: dict[str, Any] | None = Field(default=None, sa_type=JSON(none_as_null=True))
    after: dict[str, Any] | None = Field(default=None, sa_type=JSON(none_as_null=True))


class Stamp(SQLModel, table=True):
    """One row whose token changes with every edit, so that caches know they are old."""

    __tablename__: ClassVar[Any] = "catalogue_stamp"
    __table_args__ = (CheckConstraint("id = 1", name="one_row"),)

    id: int = Field(default=1, primary_key=True)
    token: str = Field(default_factory=lambda: uuid4().hex, max_length=32)
