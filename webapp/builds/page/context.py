"""What the build page shows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from urllib.parse import quote

from markupsafe import Markup

from geometry.uncertainty import explain_all
from webapp.builds.choice.build_choice import BuildChoice, ReadChoice, address_of, query_of
from webapp.builds.choice.carried_build import (
    NO_OTHERS,
    OtherBikes,
    carried_text,
    side_by_side_address,
)
from webapp.builds.choice.field_words import problem_words
from webapp.builds.choice.places import PLACE_OF, scope_words
from webapp.builds.effects import mass_sold
from webapp.builds.evaluation import BuildResult
from webapp.builds.fitting.checks import places_of
from webapp.builds.page.check_view import CheckLists, RemedyLink, check_lists, key_of, with_ways
from webapp.builds.page.drive.view import DriveView, drive_view
from webapp.builds.page.fields import BuildForm
from webapp.builds.page.figure_rows import KEYS, MOST_NAMED, SHORT, FigureRow, figure_rows
from webapp.builds.page.form import build_form
from webapp.builds.page.ghost import Ghost
from webapp.builds.page.link_age import LinkAge, with_seen
from webapp.builds.page.picture import both_layouts
from webapp.builds.page.state_links import STATE_KEY, state_links
from webapp.builds.page.troubles import troubles_of
from webapp.builds.page.verdict import Verdict, verdict_of, weight_note, weight_of
from webapp.builds.pricing import PriceSheet
from webapp.builds.rider.posture_rows import PostureRow
from webapp.builds.rider.view import RiderView, rider_view, shared_address
from webapp.builds.solving.solver_inputs import STATE_NAMES, UNLOADED
from webapp.builds.solving.tolerances import tolerances_of
from webapp.builds.suggestions.repair import Repair, find_repair
from webapp.builds.suggestions.work import Work
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.text.units import number
from webapp.common.web.choices import Link
from webapp.pricing.totals import printed_money, total_lines


@dataclass(frozen=True, kw_only=True)
class PrintedLine:
    """One line of a price list, printed."""

    label: str
    note: str
    amount: str
    key: str
    main: bool = False


NOTHING_MOVED = LinkAge()


@dataclass(frozen=True, kw_only=True)
class BuildPage:
    """Everything the build page's templates know."""

    model: str
    model_slug: str
    size: str
    revision: int
    withdrawn: str
    action: str
    address: str
    shared_address: str
    errors: tuple[tuple[str, str], ...]
    form: BuildForm
    words: str
    states: tuple[str, ...]
    rows: tuple[FigureRow, ...]
    short_rows: tuple[FigureRow, ...]
    other_rows: tuple[FigureRow, ...]
    drawing: Markup
    ghost: Ghost | None
    state: str
    state_links: tuple[Link, ...]
    carried: tuple[tuple[str, str], ...]
    verdict: Verdict
    weight: str
    weight_note: str
    total: str
    checks: CheckLists
    drive: DriveView | None
    ways: tuple[RemedyLink, ...]
    prices: tuple[PrintedLine, ...]
    totals: tuple[PrintedLine, ...]
    price_note: str
    scope_words: str
    can_be_ordered: bool
    compare_address: str
    table_address: str
    range_address: str
    quote_address: str
    ask_address: str
    fit_notice: str
    rider: RiderView | None
    kept_address: str
    link_address: str
    age: LinkAge

    @property
    def sitting(self) -> tuple[PostureRow, ...]:
        """How the rider would sit on it; nothing without a rider."""
        return self.rider.rows if self.rider else ()

    @property
    def other_ways(self) -> tuple[RemedyLink, ...]:
        """What makes everything fit too, beside the way with the fewest changes."""
        return self.ways[1:]

    @property
    def failing_words(self) -> str:
        """Its checks that are not clear, summed up."""
        if self.can_be_ordered:
            return tr("Tight")
        return tr("This build cannot be ordered as it is")


def build_page(
    catalogue: Catalogue,
    read: ReadChoice,
    result: BuildResult | None,
    *,
    state: str | None = None,
    age: LinkAge = NOTHING_MOVED,
    ghost: Ghost | None = None,
    others: OtherBikes = NO_OTHERS,
) -> BuildPage:
    """The page of one build.

    Parameters
    ----------
    catalogue : Catalogue
    read : ReadChoice
        With what was wrong in the address, if anything.
    result : BuildResult or None
        None when the parts cannot stand together.
    state : str, optional
        The state to draw, with links to the others; unloaded and without links by default.
    age : LinkAge
        What has moved on since the link was made.
    ghost : Ghost, optional
        The bike the rider has now, drawn behind.
    others : OtherBikes, optional
        Further bikes that its links take along.

    Returns
    -------
    BuildPage
    """
    choice = read.choice
    drawn = state if state and result and state in result.states else UNLOADED
    address = address_of(choice)
    asked = f"/quote/{quote(catalogue.model.slug)}?{query_of(choice)}"
    outline = ghost.outline if ghost else None
    size = catalogue.size(choice.size).name
    states = tuple(STATE_NAMES[each] for each in result.states) if result else ()
    mass = mass_sold(catalogue, choice) if result else None
    rows, rider = _rows(result) if result else (), rider_view(choice, result)
    shared = shared_address(choice, result)
    work = Work()
    checks, ways = _judged(result, work) if result else (CheckLists(), ())
    form = _form(catalogue, read, result, checks, mended=bool(ways))
    page = BuildPage(
        model=catalogue.model.name,
        model_slug=catalogue.model.slug,
        size=size,
        revision=catalogue.revision.number,
        withdrawn=_withdrawn(catalogue),
        action=f"/build/{catalogue.model.slug}",
        address=address,
        kept_address=with_seen(address, result),
        link_address=with_seen(shared or address, result),
        age=age,
        shared_address=shared,
        errors=tuple((each.field, problem_words(each)) for each in read.problems),
        form=form,
        words=_words(result) if result else "",
        states=states,
        rows=rows,
        short_rows=tuple(row for row in rows if row.key in SHORT),
        other_rows=tuple(row for row in rows if row.key not in SHORT),
        drawing=both_layouts(result, state=drawn, ghost=outline) if result else Markup(""),
        ghost=ghost,
        state=STATE_NAMES[drawn],
        state_links=state_links(address, result.states, drawn) if result and state else (),
        carried=_carried(rider, state, others),
        verdict=verdict_of(result, checks),
        weight=weight_of(mass) if mass else "",
        weight_note=weight_note(mass) if mass else "",
        total=printed_money(result.price.gross) if result else "",
        checks=checks,
        drive=drive_view(result) if result and choice.scope == "bike" else None,
        ways=ways,
        prices=price_lines(result.price) if result else (),
        totals=price_totals(result.price) if result else (),
        price_note=_price_note(result.price) if result else "",
        scope_words=scope_words(catalogue, choice.scope),
        can_be_ordered=bool(result and result.can_be_ordered and not read.problems),
        compare_address=side_by_side_address(carried_text(choice), others),
        table_address=_table_address(choice),
        range_address=f"/build/{quote(choice.model)}/range?{query_of(choice)}",
        quote_address=asked,
        ask_address=asked,
        fit_notice=catalogue.settings.fit_notice,
        rider=rider,
    )
    moved = others.in_links(page, but=("action", "ghost"))
    return page if moved is page else replace(moved, address=address)


def _carried(
    rider: RiderView | None, state: str | None, others: OtherBikes
) -> tuple[tuple[str, str], ...]:
    """What the form takes along beside the choices: rider, state drawn, other bikes."""
    state_pair = ((STATE_KEY, state),) if state and state != UNLOADED else ()
    return (*(rider.pairs if rider else ()), *state_pair, *others.pairs)


def _judged(result: BuildResult, work: Work) -> tuple[CheckLists, tuple[RemedyLink, ...]]:
    """The checks with what helps, and the repairs of the first failure that stand beside it.

    Repairs are searched for first: without one, nobody could go on from a build of several faults.
    """
    if not result.failed:
        return check_lists(result, work), ()
    repairs = repair_links(result, CheckLists(), work)
    checks = check_lists(result, work)
    shown = {link.address for line in checks.failing for link in line.ways}
    ways = tuple(link for link in repairs if link.address not in shown)
    return with_ways(checks, key_of(result.failed[0].code), ways), ways


def _form(
    catalogue: Catalogue,
    read: ReadChoice,
    result: BuildResult | None,
    checks: CheckLists,
    *,
    mended: bool,
) -> BuildForm:
    """The form; a check that is not clear is shown at the choice it concerns."""
    if result is None:
        return build_form(catalogue, read, None)
    told = troubles_of(result.checks, checks.failing, PLACE_OF, mended=mended)
    return build_form(catalogue, read, result, told)


def _rows(result: BuildResult) -> tuple[FigureRow, ...]:
    """Every figure in every state; the unloaded bike's with its explanation."""
    frame, found = result.catalogue.revision.data.tolerances, result.states[UNLOADED]
    explanations = explain_all(
        found.bike,
        tolerances_of(frame, result.assembly),
        keys=KEYS,
        values=found.figures,
        most=MOST_NAMED,
    )
    widths = {
        key: found.half_width for key, found in explanations.items() if found.half_width is not None
    }
    return figure_rows(
        [state.figures for state in result.states.values()],
        tolerances=[widths if name == UNLOADED else {} for name in result.states],
        explanations=explanations,
    )


def _table_address(choice: BuildChoice) -> str:
    """The geometry table of every size of a build, with its rider: each size's saddle is theirs."""
    return f"/table/{quote(choice.model)}?{query_of(choice)}"


def _withdrawn(catalogue: Catalogue) -> str:
    revision = catalogue.revision
    if catalogue.model.retired:
        return tr("The {name} is no longer made.", name=catalogue.model.name)
    if revision.state != "withdrawn":
        return ""
    if not revision.withdrawn_on:
        return tr(
            "Revision {number} was withdrawn: {reason}",
            number=revision.number,
            reason=revision.withdrawn_reason,
        )
    return tr(
        "Revision {number} was withdrawn on {day}: {reason}",
        number=revision.number,
        day=day_in_words(revision.withdrawn_on),
        reason=revision.withdrawn_reason,
    )


def _words(result: BuildResult) -> str:
    """The build in one sentence, before any table."""
    found = result.states[UNLOADED].figures
    size = result.assembly.size.name
    fork = result.assembly.parts["fork"].name
    return tr(
        (
            "Size {size} with {fork} has a head angle of {head_angle}°, a seat angle of "
            "{seat_angle}° at your saddle height, a reach of {reach} mm and a chainstay of "
            "{chainstay} mm."
        ),
        size=size,
        fork=fork,
        head_angle=number(found["head_angle"]),
        seat_angle=number(found["effective_seat_angle"]),
        reach=number(found["reach"], 0),
        chainstay=number(found["chainstay_length"], 0),
    )


def repair_links(result: BuildResult, checks: CheckLists, work: Work) -> tuple[RemedyLink, ...]:
    """Builds that mend the first mismatch, each keeping one of its parts; fewest changes first.

    Parameters
    ----------
    result : BuildResult
        With a check that says no.
    checks : CheckLists
        Repairs already linked beside a check are left out.
    work : Work
        How much may be computed; each search has half of what is left.
    """
    catalogue, choice, code = result.catalogue, result.choice, result.failed[0].code
    shown = {link.address for line in checks.failing for link in line.ways}
    found: dict[str, tuple[int, RemedyLink]] = {}
    for keep in (*places_of(code)[:MOST_KEPT], ""):
        if not keep and found:
            break
        share = work.share()
        repair = find_repair(
            catalogue, choice, keep=[keep] if keep else [], work=share, setup=result.setup
        )
        work.join(share)
        if repair is not None:
            line = _repair_link(repair)
            found.setdefault(line.address, (len(repair.changes), line))
    least_first = sorted(found.values(), key=lambda each: each[0])
    return tuple(line for _, line in least_first if line.address not in shown)


MOST_KEPT = 2  # places kept in turn when a repair is searched for


def _repair_link(repair: Repair) -> RemedyLink:
    changes = [f"{label}: {name}" for label, name in repair.changes]
    if repair.axle is not None:
        changes.append(tr("axle position: {position} mm", position=number(repair.axle)))
    return RemedyLink(words="; ".join(changes), address=address_of(repair.choice))


def price_lines(price: PriceSheet) -> tuple[PrintedLine, ...]:
    """The build list with prices, printed."""
    return tuple(
        PrintedLine(
            label=line.place,
            note=line.item,
            amount=printed_money(line.amount) if line.amount else tr("no price yet"),
            key=line.key,
        )
        for line in price.lines
    )


def price_totals(price: PriceSheet) -> tuple[PrintedLine, ...]:
    """What the list comes to, printed: net, tax, total, deposit."""
    lines = total_lines(price.priced, price.tax, deposit_percent=price.deposit_percent)
    return tuple(
        PrintedLine(
            label=line.label,
            note="",
            amount=printed_money(line.amount),
            key=f"total-{at}",
            main=line.main,
        )
        for at, line in enumerate(lines)
    )


def _price_note(price: PriceSheet) -> str:
    if price.unpriced:
        return tr("Not complete: {places} has no price yet.", places=", ".join(price.unpriced))
    if not price.tax.rate:
        return tr("No tax is charged.")
    return tr("Prices with tax.") if price.tax.included else tr("Prices without tax.")
