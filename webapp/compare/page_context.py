"""What the page *Side by side* shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from markupsafe import Markup

from webapp.builds.choice.build_choice import address_of
from webapp.builds.choice.carried_build import PRESENT_KEY
from webapp.builds.solving.solver_inputs import SAGGED
from webapp.catalogue.reading.views import ModelView
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr, trn
from webapp.common.text.units import number
from webapp.common.web.choices import Link
from webapp.compare.address import (
    ALIGNMENT_WORDS,
    ALIGNMENTS,
    MOST_BUILDS,
    STATE_WORDS,
    STATES,
    View,
    compare_address,
    text_of,
)
from webapp.compare.bikes import Compared
from webapp.compare.difference_sentences import parts_sentence, price_caution, sentence
from webapp.compare.load_builds import Comparison, Entry
from webapp.compare.noticeable_differences import FEELS
from webapp.compare.page_values import (
    BuildCard,
    FeelLine,
    LegendLine,
    LinkGroup,
    OtherWords,
    RefusedField,
    WaitingBuild,
)
from webapp.compare.picture import drawing_of, drawing_words
from webapp.compare.present_column import compared_present, present_card, present_words
from webapp.compare.table_rows import PartRow, Row, comparison_rows, part_rows
from webapp.compare.unshown import errors_of, refused_fields, waiting_builds
from webapp.compare.variants import copies_of
from webapp.drawing.overlay import LETTERS


@dataclass(frozen=True, kw_only=True)
class SideBySidePage:
    """Everything the page's templates know."""

    title: str
    several: bool
    address: str
    errors: tuple[tuple[str, str], ...]
    builds: tuple[BuildCard, ...]
    waiting: tuple[WaitingBuild, ...]
    legend: tuple[LegendLine, ...]
    refused: tuple[RefusedField, ...]
    full: bool
    hidden: tuple[tuple[str, str], ...]
    words: tuple[OtherWords, ...]
    first_cautions: tuple[str, ...]
    state: str
    state_note: str
    states: tuple[Link, ...]
    alignments: tuple[Link, ...]
    drawing: Markup
    drawing_title: str
    drawing_words: str
    rows: tuple[Row, ...]
    equal_rows: tuple[Row, ...]
    parts: tuple[PartRow, ...]
    equal_parts: tuple[PartRow, ...]
    starts: tuple[Link, ...]
    feels: tuple[FeelLine, ...]

    @property
    def has_switches(self) -> bool:
        """Whether the drawing can be seen in another way."""
        return bool(self.states or self.alignments)

    @property
    def has_rows(self) -> bool:
        """Whether there are figures to compare."""
        return bool(self.rows or self.equal_rows)

    @property
    def has_parts(self) -> bool:
        """Whether there are parts to compare."""
        return bool(self.parts or self.equal_parts)

    @property
    def folded_parts(self) -> tuple[PartRow, ...]:
        """Parts that are the same in all, folded away below those that differ."""
        return self.equal_parts if self.parts else ()

    @property
    def can_add(self) -> bool:
        """Whether another build can be sent, or one that was refused sent again."""
        return not self.full or bool(self.refused)

    @property
    def add_words(self) -> str:
        """The heading for one more build."""
        return tr("Add a build") if self.builds else tr("Start with a build")


def side_by_side_page(comparison: Comparison, models: Sequence[ModelView]) -> SideBySidePage:
    """The page of one comparison.

    Parameters
    ----------
    comparison : Comparison
    models : sequence of ModelView
        Whose usual builds are offered while there are fewer than two.

    Returns
    -------
    SideBySidePage
    """
    entries, view = comparison.entries, comparison.view
    bikes = [each.compared for each in entries]
    bikes += [compared_present(comparison.present)] if comparison.present.text else []
    several = len(bikes) > 1
    rows = comparison_rows(bikes, state=view.state) if several else ()
    parts = part_rows(LETTERS[: len(bikes)], bikes) if several else ()
    refused = refused_fields(comparison)
    return SideBySidePage(
        title=_title([bike.name for bike in bikes]),
        several=several,
        address=canonical_address(comparison),
        errors=errors_of(comparison, refused),
        builds=(*(_card(comparison, at) for at in range(len(entries))), *_present_card(comparison)),
        waiting=waiting_builds(comparison),
        legend=_legend(bikes) if several else (),
        refused=refused,
        full=len(comparison.texts) >= _most(comparison),
        hidden=_hidden(comparison),
        words=(
            *(_words(entries, at, view) for at in range(1, len(entries))),
            *_present_words(comparison),
        ),
        first_cautions=bikes[0].cautions if bikes else (),
        state=STATE_WORDS[view.state],
        state_note=_state_note(comparison),
        states=_states(comparison),
        alignments=_alignments(comparison) if several else (),
        drawing=drawing_of(bikes, view) if bikes else Markup(""),
        drawing_title=_drawing_title(comparison),
        drawing_words=drawing_words(bikes, view) if bikes else "",
        rows=tuple(row for row in rows if not row.equal),
        equal_rows=tuple(row.without_differences() for row in rows if row.equal),
        parts=tuple(row for row in parts if not row.equal),
        equal_parts=tuple(row for row in parts if row.equal),
        starts=() if several else _starts(comparison, models),
        feels=_feels() if several else (),
    )


def _title(names: Sequence[str]) -> str:
    if not names:
        return tr("Side by side")
    if len(names) == 1:
        return names[0]
    return tr("{bikes}, side by side", bikes=tr(" and ").join(names))


def canonical_address(comparison: Comparison) -> str:
    """The one address of a comparison."""
    return compare_address(comparison.texts, comparison.view)


def _card(comparison: Comparison, at: int) -> BuildCard:
    card, view = comparison.entries[at], comparison.view
    texts = list(comparison.texts)
    without = texts[:at] + texts[at + 1 :]
    bike = card.compared
    return BuildCard(
        letter=LETTERS[at],
        name=bike.name,
        facts=bike.facts,
        price=bike.price.format() if bike.price else "",
        text=card.text,
        change_address=view.others(without).along(address_of(card.choice)),
        remove_address=compare_address(without, view),
        first_address=compare_address([texts[at], *without], view) if at else "",
        copies=_copies(comparison, card) if len(texts) < _most(comparison) else (),
        copy_words=_copy_words(LETTERS[at], alone=len(texts) == 1 and not comparison.present.text),
    )


def _copy_words(letter: str, *, alone: bool) -> str:
    if alone:
        return tr("Compare it with the same build but another…")
    return tr("Copy {letter} with…", letter=letter)


def _most(comparison: Comparison) -> int:
    """How many builds there may be beside the bike ridden now."""
    return MOST_BUILDS - 1 if comparison.present.text else MOST_BUILDS


def _present_card(comparison: Comparison) -> list[BuildCard]:
    bike = comparison.present
    if not bike.text:
        return []
    letter = LETTERS[len(comparison.entries)]
    return [present_card(letter, bike, comparison.texts, comparison.view)]


def _present_words(comparison: Comparison) -> list[OtherWords]:
    bike, entries = comparison.present, comparison.entries
    if not bike.text or not entries:
        return []
    return [present_words(LETTERS[len(entries)], entries[0].compared, bike, comparison.view)]


def _legend(bikes: Sequence[Compared]) -> tuple[LegendLine, ...]:
    """Names; those that several bikes share with the facts that tell them apart."""
    return tuple(
        LegendLine(letter=letter, name=", ".join((bike.name, *_own_facts(bike, bikes))))
        for letter, bike in zip(LETTERS, bikes, strict=False)
    )


def _own_facts(bike: Compared, bikes: Sequence[Compared]) -> list[str]:
    alike = [set(other.facts) for other in bikes if other.name == bike.name]
    return [fact for fact in bike.facts if any(fact not in facts for facts in alike)]


def _copies(comparison: Comparison, of: Entry) -> tuple[LinkGroup, ...]:
    """A copy is put after the builds that can be shown and before those that cannot."""
    shown = [each.text for each in comparison.entries]
    rest = [refused.text for refused in comparison.refused]
    return tuple(
        LinkGroup(
            heading=group.heading,
            links=tuple(
                Link(
                    key="",
                    label=copy.label,
                    address=compare_address([*shown, text_of(copy.choice), *rest], comparison.view),
                )
                for copy in group.copies
            ),
        )
        for group in copies_of(of.catalogue, of.choice)
    )


def _words(entries: Sequence[Entry], at: int, view: View) -> OtherWords:
    first, other, letter = entries[0].compared, entries[at].compared, LETTERS[at]
    if entries[at].choice == entries[0].choice:
        return OtherWords(
            letter=letter,
            sentence=tr("{letter} is the same build as A.", letter=letter),
            parts="",
            cautions=(),
        )
    caution = price_caution(letter, first, other)
    return OtherWords(
        letter=letter,
        sentence=sentence(letter, first, other, state=view.state),
        parts=parts_sentence(first, other),
        cautions=((caution,) if caution else ()) + other.cautions,
    )


def _hidden(comparison: Comparison) -> tuple[tuple[str, str], ...]:
    """What the form sends along unseen: the builds shown, those that wait, and the view."""
    view = comparison.view
    pairs = [("build", each.text) for each in (*comparison.entries, *comparison.waiting)]
    pairs += [("align", view.align)] if view.align != ALIGNMENTS[0] else []
    pairs += [("state", view.state)] if view.state != STATES[0] else []
    pairs += [(PRESENT_KEY, view.present)] if view.present else []
    return tuple(pairs)


def _states(comparison: Comparison) -> tuple[Link, ...]:
    """A link for each state that one of the bikes can stand in."""
    known = {state for each in comparison.entries for state in each.compared.states}
    return tuple(
        Link(
            key=f"state-{state}",
            label=STATE_WORDS[state],
            address=compare_address(comparison.texts, replace(comparison.view, state=state)),
            present=state == comparison.view.state,
        )
        for state in STATES
        if state in known
    )


def _state_note(comparison: Comparison) -> str:
    """Which bikes cannot bottom, where that is asked for."""
    rigid = [
        letter
        for letter, each in zip(LETTERS, comparison.entries, strict=False)
        if comparison.view.state not in each.compared.states
    ]
    if not rigid:
        return ""
    listed = tr(" and ").join(filter(None, (", ".join(rigid[:-1]), rigid[-1])))
    return trn(
        "{letters} has a rigid fork that cannot bottom out; it is shown as ridden, on its tyres.",
        "{letters} have rigid forks that cannot bottom out; they are shown as ridden, on their "
        "tyres.",
        len(rigid),
        letters=listed,
    )


def _alignments(comparison: Comparison) -> tuple[Link, ...]:
    return tuple(
        Link(
            key=f"align-{align}",
            label=ALIGNMENT_WORDS[align],
            address=compare_address(comparison.texts, replace(comparison.view, align=align)),
            present=align == comparison.view.align,
        )
        for align in ALIGNMENTS
    )


def _drawing_title(comparison: Comparison) -> str:
    entries, view = comparison.entries, comparison.view
    if len(entries) == 1:
        state = view.state if view.state in entries[0].compared.states else SAGGED
        return tr("{name}, {state}, drive side", name=entries[0].compared.name, state=state)
    where = ALIGNMENT_WORDS[view.align]
    return tr("Overlaid at the {where}, {state}, drive side", where=where, state=view.state)


def _starts(comparison: Comparison, models: Sequence[ModelView]) -> tuple[Link, ...]:
    """The usual build of every model that is not shown yet."""
    shown = {each.catalogue.model.slug for each in comparison.entries}
    return tuple(
        Link(
            key=f"start-{model.slug}",
            label=model.name,
            address=compare_address([*comparison.texts, model.slug], comparison.view),
        )
        for model in models
        if model.slug not in shown
    )


def _feels() -> tuple[FeelLine, ...]:
    return tuple(
        FeelLine(
            name=entry(feel.key).name,
            step=f"{number(feel.step)}°"
            if entry(feel.key).unit == "°"
            else tr("{step:g} mm", step=feel.step),
            reason=feel.reason,
        )
        for feel in FEELS
    )
