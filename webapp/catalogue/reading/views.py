"""What the rest of the service sees of the catalogue: frozen values, no database rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Generic, TypeAlias, TypeVar, cast, overload

from geometry.bike import Frame
from webapp.catalogue.reading.trade_names import NO_NAMES, TradeNames
from webapp.catalogue.schema.frames import RevisionData, SizeData
from webapp.catalogue.schema.part_kinds import PART_KINDS, PartData
from webapp.catalogue.schema.shop import PostureWindows, ShopSettings
from webapp.common.errors import Invalid
from webapp.common.memory import Memory, Same
from webapp.common.text.language import language_and_numbers, tr
from webapp.common.text.money import Money

D = TypeVar("D", bound=PartData)
D_co = TypeVar("D_co", bound=PartData, covariant=True)

ASSUMED_FRONT = "drawn-with-front"
"""What front rim and tyre are called in addresses where they are assumed and differ."""


class UnknownChoice(Invalid):
    """A size, kind or part was asked for that this catalogue does not have."""


@dataclass(frozen=True, kw_only=True)
class PartView(Generic[D_co]):
    """One part as offered for one model; ``price`` is None while it has none.

    ``PartView[ForkData]`` is a fork; `AnyPart` is a part of whatever kind. ``assumed`` says
    that the catalogue has none of the kind: figures are computed with it and it is not sold.
    """

    slug: str
    kind: str
    name: str
    data: D_co
    price: Money | None
    retired: bool
    replaced_by: str | None
    standard: bool
    assumed: bool = False

    def of(self, kind: type[D]) -> PartView[D]:
        """The same part, typed as the kind with that class of data.

        Raises
        ------
        TypeError
            For the class of another kind: a fault of the program.
        """
        if not isinstance(self.data, kind):
            raise TypeError(f"{self.kind} {self.slug} holds {type(self.data).__name__}")
        return cast("PartView[D]", self)


AnyPart: TypeAlias = PartView[PartData]


@dataclass(frozen=True, kw_only=True)
class SizeView:
    """One size: its data, and the same as the solver takes it."""

    slug: str
    name: str
    position: int
    data: SizeData
    frame: Frame
    surcharge: Money


@dataclass(frozen=True, kw_only=True)
class RevisionView:
    """One revision of a model; ``state`` is ``draft``, ``published`` or ``withdrawn``."""

    number: int
    state: str
    published_on: date | None
    withdrawn_on: date | None
    withdrawn_reason: str
    changelog: str
    data: RevisionData


@dataclass(frozen=True, kw_only=True)
class ModelView:
    """One frame model; ``retired`` says that it is no longer made."""

    slug: str
    name: str
    summary: str
    retired: bool = False


@dataclass(frozen=True, kw_only=True)
class StyleView:
    """One riding style with its posture windows."""

    slug: str
    name: str
    windows: PostureWindows


MOST_REMEMBERED = 30_000
"""Values remembered with one catalogue, most of them small: about 20 MB when full."""


def _listed(names: list[str]) -> str:
    return ", ".join(names) if names else "none"


@dataclass(frozen=True, kw_only=True)
class Catalogue:
    """Everything needed to compute, check and price builds of one model revision."""

    model: ModelView
    revision: RevisionView
    sizes: tuple[SizeView, ...]
    parts: Mapping[str, tuple[AnyPart, ...]]
    frame_price: Money
    currency: str
    price_list: str
    tax_included: bool
    settings: ShopSettings
    styles: tuple[StyleView, ...]
    former_styles: tuple[StyleView, ...] = ()
    trade_names: TradeNames = NO_NAMES
    _memories: dict[tuple[str, str], Memory] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @property
    def memory(self) -> Memory:
        """What was computed from this catalogue, cached separately for each language and style
        of numbers.
        """
        written = language_and_numbers()
        found = self._memories.get(written)
        if found is None:
            found = self._memories.setdefault(written, Memory(most=MOST_REMEMBERED))
        return found

    @cached_property
    def _by_slug(self) -> Mapping[tuple[str, str], AnyPart]:
        parts = ((kind, part) for kind, listed in self.parts.items() for part in listed)
        return {(kind, part.slug): part for kind, part in parts}

    @cached_property
    def _offered(self) -> Mapping[str, tuple[AnyPart, ...]]:
        return {
            kind: tuple(part for part in listed if not part.retired)
            for kind, listed in self.parts.items()
        }

    def size(self, slug: str) -> SizeView:
        """The size of that name.

        Raises
        ------
        UnknownChoice
            When the revision has none of that name; the remedy lists those it has.
        """
        for size in self.sizes:
            if size.slug == slug:
                return size
        raise UnknownChoice(
            "size", slug, tr("one of {choices}", choices=_listed([s.slug for s in self.sizes]))
        )

    @overload
    def part(self, kind: type[D], slug: str) -> PartView[D]: ...

    @overload
    def part(self, kind: str, slug: str) -> AnyPart: ...

    def part(self, kind: str | type[PartData], slug: str) -> AnyPart:
        """The part of that kind and name, retired ones included.

        A kind is named by its word or, where its data is used, by its class:
        ``catalogue.part(ForkData, "rigid").data.offset``.

        Raises
        ------
        UnknownChoice
            For a kind or part not offered; the remedy lists what is offered.
        """
        found = self._by_slug.get((kind, slug)) if isinstance(kind, str) else None
        if found is not None:
            return found
        name = self._known(kind)
        found = self._by_slug.get((name, slug))
        if found is not None:
            return found
        raise UnknownChoice(
            name,
            slug,
            tr("one of {choices}", choices=_listed([p.slug for p in self.offered(kind)])),
        )

    def has(self, kind: str, slug: str) -> bool:
        """Whether there is a part of that kind and name, retired or not."""
        return (kind, slug) in self._by_slug

    def data(self, kind: type[D], slug: str) -> D:
        """The data of one part: ``catalogue.data(ForkData, "rigid").offset``.

        Raises
        ------
        UnknownChoice
            As `part`.
        """
        return self.part(kind, slug).data

    @overload
    def offered(self, kind: type[D]) -> tuple[PartView[D], ...]: ...

    @overload
    def offered(self, kind: str) -> tuple[AnyPart, ...]: ...

    def offered(self, kind: str | type[PartData]) -> tuple[AnyPart, ...]:
        """Parts of a kind that are not retired, in the builder's order.

        The kind is named as for `part`.
        """
        return self._offered.get(self._known(kind), ())

    def standard(self, kind: str) -> AnyPart | None:
        """The builder's usual choice of a kind, or None where the kind is left out as usual.

        Raises
        ------
        UnknownChoice
            For a kind that does not exist.
        """
        return next((p for p in self.offered(kind) if p.standard), None)

    def usual(self, kind: str, size: SizeView) -> AnyPart | None:
        """The usual choice of a kind for one size: as the size is sold, else the builder's.

        Raises
        ------
        UnknownChoice
            For a kind that does not exist.
        """
        key = ("usual", kind, Same(size))
        return self.memory.of(key, lambda: self._usual(kind, size))

    def _usual(self, kind: str, size: SizeView) -> AnyPart | None:
        sold = size.data.as_sold
        slugs = (*sold.posts,) if sold and kind == "post" else (getattr(sold, kind, None),)
        offered = {part.slug: part for part in self.offered(kind)}
        found = (offered[slug] for slug in slugs if slug in offered)
        drawn = offered.get(assumed_stem(size.data.stem_length)) if kind == "stem" else None
        return next(found, None) or drawn or self.standard(kind)

    def sells(self, kind: str) -> bool:
        """Whether the shop has any part of a kind to sell.

        Raises
        ------
        UnknownChoice
            For a kind that does not exist.
        """
        return any(not part.assumed for part in self.offered(kind))

    def styles_with(self, slug: str) -> tuple[StyleView, ...]:
        """The styles to choose from, and that one, should it be one that was removed."""
        return (*self.styles, *(each for each in self.former_styles if each.slug == slug))

    def style(self, slug: str) -> StyleView:
        """The riding style of that name, one that was removed too.

        Raises
        ------
        UnknownChoice
            When there is none; the remedy lists those there are.
        """
        for style in (*self.styles, *self.former_styles):
            if style.slug == slug:
                return style
        raise UnknownChoice(
            "style", slug, tr("one of {choices}", choices=_listed([s.slug for s in self.styles]))
        )

    def _known(self, kind: str | type[PartData]) -> str:
        name = kind if isinstance(kind, str) else kind_of(kind)
        if name not in PART_KINDS:
            raise UnknownChoice(
                "kind", name, tr("one of {choices}", choices=_listed(list(PART_KINDS)))
            )
        return name


def assumed_stem(length: float) -> str:
    """What the assumed stem of a length [mm] is called in addresses.

    >>> assumed_stem(50), assumed_stem(42.5)
    ('drawn-with-50', 'drawn-with-42-5')
    """
    return f"drawn-with-{length:g}".replace(".", "-")


def kind_of(data: type[PartData]) -> str:
    """The kind whose data is of that class.

    >>> from webapp.catalogue.schema.part_kinds import ForkData
    >>> kind_of(ForkData)
    'fork'
    """
    return next(kind for kind, known in PART_KINDS.items() if known is data)
