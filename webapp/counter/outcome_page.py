"""The form of an outcome: what a rider said of the bike after the ride, or after three months."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from urllib.parse import parse_qs

from sqlmodel import Session

from webapp.accounts.people import Person
from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import DomainError, form_errors
from webapp.common.query_strings import revision_in
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import in_own_signs, tr
from webapp.common.web.choices import Link, Option
from webapp.counter.lists import address_of
from webapp.outcomes.evidence import build_of
from webapp.outcomes.store import Kept, outcomes_of_quote
from webapp.outcomes.tables import AFTER_MONTHS, AFTER_RIDE
from webapp.outcomes.typed_outcome import BODY_FIELDS, HEIGHTS, LENGTHS
from webapp.quote.freezing.bikes import heading_of
from webapp.quote.storage.read import QuoteView

MOMENT_WORDS: Mapping[str, str] = {
    AFTER_RIDE: tr("After the test ride"),
    AFTER_MONTHS: tr("After three months"),
}
_LENGTH_WORDS = {"short": tr("Too short"), "right": tr("Right"), "long": tr("Too long")}
_HEIGHT_WORDS = {
    "": tr("Nothing said"),
    "low": tr("Too low: up"),
    "right": tr("Right"),
    "high": tr("Too high: down"),
}


_FIELDS = (
    *BODY_FIELDS, "style", "size_ridden", "size_bought", "stem", "handlebar", "spacers", "length",
    "height",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class OutcomePage:
    """The form, and what is recorded already."""

    person: Person
    number: str
    summary: str
    address: str
    bike: int
    bikes: tuple[Link, ...]
    back: str
    moment: str
    moments: tuple[Option, ...]
    sizes: tuple[Option, ...]
    bought: tuple[Option, ...]
    stems: tuple[Option, ...]
    handlebars: tuple[Option, ...]
    lengths: tuple[Option, ...]
    heights: tuple[Option, ...]
    styles: tuple[Option, ...]
    stature_by: tuple[Option, ...]
    inseam_by: tuple[Option, ...]
    sexes: tuple[Option, ...]
    values: dict[str, str]
    consent: bool
    ask_sure: bool
    sure: bool
    erased: bool
    recorded: tuple[str, ...]
    done: bool
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]


def quoted_bike(session: Session, view: QuoteView) -> tuple[Catalogue, BuildChoice]:
    """The one bike of a version as quoted, with the catalogue of its revision."""
    build = view.content.build
    query = parse_qs(build.query)
    catalogue = load_catalogue(session, build.model_slug, revision_in(query))
    return catalogue, replace(read_choice(catalogue, query).choice, rider=None)


def outcome_page(
    session: Session,
    view: QuoteView,
    person: Person,
    *,
    bike: int,
    moment: str,
    erased: bool,
    typed: Mapping[str, str] | None = None,
    error: DomainError | None = None,
    done: bool = False,
) -> OutcomePage:
    """The form for one quote.

    Parameters
    ----------
    session : Session
    view : QuoteView
        The version that stands.
    person : Person
    bike : int
        Which bike of the quote, the first being 1.
    moment : str
        One of `MOMENTS`; the first for anything else.
    erased : bool
        Whether the customer was erased: no measurements are taken then.
    typed : mapping of field to text, optional
        A refused form.
    error : DomainError, optional
    done : bool
        Whether one was recorded just now.

    Returns
    -------
    OutcomePage
    """
    quote, view = view, view.bike(bike)
    catalogue, quoted = quoted_bike(session, view)
    kept = [each for each in outcomes_of_quote(session, view.number) if each.bike == bike]
    at = moment if moment in MOMENT_WORDS else AFTER_RIDE
    before = next((each for each in kept if each.moment == at), None)
    values = (
        _values(catalogue, quoted, view, before)
        if typed is None
        else {**dict.fromkeys(_FIELDS, ""), **typed}
    )
    pairs, by_field = form_errors(error)
    sizes = tuple(Option(value=size.slug, label=size.name) for size in catalogue.sizes)
    none = Option(value="", label=tr("None yet"))
    return OutcomePage(
        person=person,
        number=view.number,
        summary=tr("{model}, {size}", model=view.content.build.model, size=view.content.build.size),
        address=_address(view.number),
        bike=bike,
        bikes=_bikes(quote, bike),
        back=address_of(view.number),
        moment=values.get("moment", at) or at,
        moments=_options(MOMENT_WORDS),
        sizes=sizes,
        bought=(none, *sizes),
        stems=_parts(catalogue, "stem"),
        handlebars=_parts(catalogue, "handlebar"),
        lengths=_options(_LENGTH_WORDS),
        heights=_options(_HEIGHT_WORDS),
        styles=tuple(
            Option(value=s.slug, label=s.name)
            for s in catalogue.styles_with(values.get("style", ""))
        ),
        stature_by=(
            Option(value="memory", label=tr("Given from memory")),
            Option(value="wall", label=tr("Measured against a wall")),
        ),
        inseam_by=(
            Option(value="floor", label=tr("Measured from the floor")),
            Option(value="trousers", label=tr("From the label of trousers")),
        ),
        sexes=(
            Option(value="", label=tr("Not said")),
            Option(value="man", label=tr("Man")),
            Option(value="woman", label=tr("Woman")),
        ),
        values=values,
        consent=bool(values.get("consent")),
        ask_sure="size_bought" in by_field,
        sure=values.get("sure") == "yes",
        erased=erased,
        recorded=tuple(_recorded(each, catalogue) for each in kept),
        done=done,
        errors=pairs,
        field_errors=by_field,
    )


def _address(number: str) -> str:
    return f"{address_of(number)}/outcome"


def _bikes(quote: QuoteView, present: int) -> tuple[Link, ...]:
    """The bikes to choose among, where a quote has several."""
    count = len(quote.bikes)
    return tuple(
        Link(
            label=heading_of(quote.content, bike),
            address=f"{_address(quote.number)}?bike={bike}",
            present=bike == present,
        )
        for bike in (range(1, count + 1) if count > 1 else ())
    )


def _options(words: Mapping[str, str]) -> tuple[Option, ...]:
    return tuple(Option(value=value, label=label) for value, label in words.items())


def _parts(catalogue: Catalogue, kind: str) -> tuple[Option, ...]:
    return tuple(Option(value=part.slug, label=part.name) for part in catalogue.parts.get(kind, ()))


def _values(
    catalogue: Catalogue, quoted: BuildChoice, view: QuoteView, before: Kept | None
) -> dict[str, str]:
    """The form's first values: what was recorded, else the bike and rider as quoted."""
    known = dict(view.customer.rider)
    bike = build_of(catalogue, before.build) if before else quoted
    found = {name: known.get(name, "") for name in (*BODY_FIELDS, "style")}
    found |= {
        "size_ridden": before.size_ridden if before else quoted.size,
        "size_bought": before.size_bought if before else "",
        "stem": bike.part("stem"),
        "handlebar": bike.part("handlebar"),
        "spacers": in_own_signs(f"{bike.spacers:g}"),
        "length": _word(LENGTHS, before.length) if before else "",
        "height": _word(HEIGHTS, before.height) if before else "",
        "style": before.style if before else found["style"],
    }
    if before and before.body:
        found |= {**dict(before.body.rider), "consent": "yes"}
    return found


def _word(words: Mapping[str, int] | Mapping[str, int | None], value: int | None) -> str:
    return next(word for word, number in words.items() if number == value)


def _recorded(each: Kept, catalogue: Catalogue) -> str:
    names = {size.slug: size.name for size in catalogue.sizes}
    day, moment = day_in_words(each.recorded_on), MOMENT_WORDS[each.moment]
    size = names.get(each.judged_size, each.judged_size)
    said = _LENGTH_WORDS[_word(LENGTHS, each.length)].lower()
    if each.body:
        return tr(
            "{moment}, {day}: {size} {said}, with measurements",
            moment=moment,
            day=day,
            size=size,
            said=said,
        )
    return tr(
        "{moment}, {day}: {size} {said}, without measurements",
        moment=moment,
        day=day,
        size=size,
        said=said,
    )
