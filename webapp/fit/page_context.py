"""What the fit page shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any
from urllib.parse import quote, urlencode

from markupsafe import Markup

from geometry.rider import PublishedSaddleHeights
from webapp.builds.choice.build_choice import BuildChoice, address_of
from webapp.builds.choice.carried_build import (
    MOST_BESIDE,
    NO_OTHERS,
    OtherBikes,
    carried_text,
    navigation_addresses,
)
from webapp.builds.evaluation import compute
from webapp.builds.rider.posture import POSES, Pose, rider_on
from webapp.builds.rider.posture_rows import posture_rows
from webapp.catalogue.reading.views import Catalogue, ModelView
from webapp.catalogue.schema.shop import RiderAnswer
from webapp.common.errors import Problem
from webapp.common.text.language import tr
from webapp.common.text.reader import said_length, said_measure
from webapp.common.text.units import number
from webapp.common.web.choices import Link, Option
from webapp.fit.answer import FitAnswer, SizeFit
from webapp.fit.measure_fields import error_words, measure_field
from webapp.fit.page_values import (
    AnswerView,
    FitPage,
    HelpLink,
    SaddleRow,
    SizeCard,
)
from webapp.fit.picture import POSE_WORDS, rider_drawing
from webapp.fit.saddle import SaddleAdvice
from webapp.fit.words.advice_text import (
    best_words,
    chart_words,
    fits_words,
    headline,
    hundred,
    reason_words,
    way_words,
    which,
)
from webapp.fit.words.difference_text import differences
from webapp.fit.words.doubt_text import (
    cautions,
    given_words,
    ladder,
    next_field,
    next_words,
    read_body_words,
    spread_words,
    taste_words,
)
from webapp.fit.words.evidence import evidence_words
from webapp.rider.rider_input import MEASURES, RIDER_KEYS, TASTES, ReadRider

_TASTES = (
    tr("Much shorter, livelier"),
    tr("A little shorter, livelier"),
    tr("As it comes"),
    tr("A little longer, steadier"),
    tr("Much longer, steadier"),
)


_SEXES = (
    Option(value="", label=tr("not said")),
    Option(value="woman", label=tr("woman")),
    Option(value="man", label=tr("man")),
)


def fit_page(
    catalogue: Catalogue,
    read: ReadRider,
    answer: FitAnswer | None,
    *,
    reference: BuildChoice,
    query: Mapping[str, Sequence[str]],
    models: Sequence[ModelView],
    problems: Sequence[Problem] = (),
    others: OtherBikes = NO_OTHERS,
) -> FitPage:
    """The page of one rider on one model.

    Parameters
    ----------
    catalogue : Catalogue
    read : ReadRider
        With everything typed.
    answer : FitAnswer or None
        None before enough measurements are known.
    reference : BuildChoice
        Fork, wheels and axle position fitted on.
    query : mapping
        The request's, for the parts of a build it carries, the size and the pose drawn.
    models : sequence of ModelView
        To choose from.
    problems : sequence of Problem
        Of the rider's fields and of the build's.
    others : OtherBikes, optional
        Further bikes that its links take along.

    Returns
    -------
    FitPage
    """
    hidden = tuple(
        (name, value)
        for name, values in query.items()
        for value in values
        if name not in (*RIDER_KEYS, "size", "pose") and value
    )
    pose, size = _pose(query), _drawn_size(catalogue, query)
    typed = [(name, text) for name, text in read.typed.items() if text]
    place = [("pose", str(pose) if pose != POSES[0] else ""), ("size", size)]
    pairs = [*typed, *hidden, *(pair for pair in place if pair[1])]
    slug = catalogue.model.slug
    page = FitPage(
        model=catalogue.model.name,
        model_slug=slug,
        models=tuple(
            Link(
                label=model.name,
                address=_address(model.slug, typed),
                present=model.slug == slug,
            )
            for model in models
        ),
        hidden=hidden,
        errors=tuple((p.field, error_words(p)) for p in problems),
        other_errors=tuple(
            (p.field, error_words(p)) for p in problems if p.field not in RIDER_KEYS
        ),
        fields=tuple(measure_field(measure, read) for measure in MEASURES),
        stature_by=read.rider.stature_by,
        inseam_by=read.rider.inseam_by,
        taste=read.rider.taste,
        tastes=tuple(
            Option(value=value, label=label) for value, label in zip(TASTES, _TASTES, strict=True)
        ),
        flexibility=read.rider.flexibility,
        flexibilities=_options(catalogue.settings.fit.flexibility),
        discomfort=read.rider.discomfort,
        discomforts=_options(catalogue.settings.fit.discomfort),
        sex=read.rider.sex or "",
        sexes=_SEXES,
        style=read.rider.style,
        styles=tuple(
            Option(value=style.slug, label=style.name)
            for style in catalogue.styles_with(read.rider.style)
        ),
        pose=pose,
        poses=tuple(Option(value=each, label=POSE_WORDS[each].capitalize()) for each in POSES),
        size=size,
        sizes=(
            Option(value="", label=tr("As advised")),
            *(Option(value=each.slug, label=each.name) for each in catalogue.sizes),
        ),
        answer=None if answer is None else _answer(catalogue, answer, others, size=size, pose=pose),
        basis=_basis(catalogue, reference),
        welcome=catalogue.settings.welcome,
        notice=catalogue.settings.fit_notice,
        address=_address(slug, pairs),
    )
    return replace(others.in_links(page), address=page.address)


def _options(answers: Sequence[RiderAnswer]) -> tuple[Option, ...]:
    """Answers to a question; none at all where the shop does not ask it."""
    found = tuple(Option(value=each.slug, label=each.name) for each in answers)
    return (Option(value="", label=tr("not said")), *found) if found else ()


def _address(model: str, pairs: Sequence[tuple[str, str]]) -> str:
    query = urlencode(list(pairs))
    return f"/fit/{quote(model)}?{query}" if query else f"/fit/{quote(model)}"


def _pose(query: Mapping[str, Sequence[str]]) -> Pose:
    given = (query.get("pose") or ("",))[0]
    return next((pose for pose in POSES if pose == given), POSES[0])


def _drawn_size(catalogue: Catalogue, query: Mapping[str, Sequence[str]]) -> str:
    given = (query.get("size") or ("",))[0]
    return given if given in {size.slug for size in catalogue.sizes} else ""


def _basis(catalogue: Catalogue, choice: BuildChoice) -> str:
    """What the fit is based on, in a sentence."""
    fork = catalogue.part("fork", choice.parts["fork"]).name
    tyre = catalogue.part("tyre", choice.parts["tyre_rear"]).name
    return tr(
        (
            "Fitted with {fork} and {tyre}, sagged under your weight, axle at {slot:g} mm of its "
            "slot; every size with the cockpit, cranks and posts it is sold with."
        ),
        fork=fork,
        tyre=tyre,
        slot=choice.slot,
    )


def _answer(
    catalogue: Catalogue, answer: FitAnswer, others: OtherBikes, *, size: str, pose: Pose
) -> AnswerView:
    drawn = _size_drawn(answer, size)
    shown: dict[str, Any] = {"posture": (), "drawing": Markup(""), "drawn": ""}
    if drawn is not None:
        result = compute(catalogue, drawn.choice)
        on = rider_on(result, answer.rider)
        shown = {
            "posture": posture_rows(on),
            "drawing": rider_drawing(result, on, pose),
            "drawn": drawn.name,
        }
    pair = answer.leading if answer.verdict == "between" else ()
    names = {size.slug: size.name for size in catalogue.sizes}
    return AnswerView(
        summary=headline(answer),
        which=which(answer),
        chart=chart_words(answer, names),
        help=tuple(HelpLink(words=way_words(w), address=w.address) for w in answer.help),
        taste=taste_words(answer),
        evidence=evidence_words(answer),
        read_body=read_body_words(answer.rider),
        spread=spread_words(answer),
        given=given_words(answer.rider),
        ladder=ladder(answer.rungs),
        next_words=next_words(answer),
        next_field=_first_asked(next_field(answer)),
        between_heading=tr("{name} beside {name_2}", name=pair[1].name, name_2=pair[0].name)
        if pair
        else "",
        differences=tuple(words for _, words, _, _ in differences(answer)),
        compare_address=_compare(pair, others),
        cards=tuple(_card(each, answer) for each in answer.sizes),
        saddle_words=_saddle_words(answer.saddle),
        saddle=_saddle_rows(answer.saddle),
        cautions=cautions(answer),
        style=answer.style.name.lower(),
        **shown,
    )


def _size_drawn(answer: FitAnswer, wanted: str) -> SizeFit | None:
    """The size asked for, or the one named first; none where none fits and none was asked for."""
    asked = [size for size in answer.sizes if size.slug == wanted]
    return next(iter(asked), answer.named)


def _compare(sizes: Sequence[SizeFit], others: OtherBikes) -> str:
    """Both sizes side by side, and as many of the other builds as there is room for."""
    if not sizes:
        return ""
    first, *rest = (carried_text(size.choice) for size in sizes)
    room = MOST_BESIDE - bool(others.present)
    return navigation_addresses(first, replace(others, beside=(*rest, *others.beside)[:room]))[
        "side-by-side"
    ]


def _card(size: SizeFit, answer: FitAnswer) -> SizeCard:
    return SizeCard(
        key=size.slug,
        name=size.name,
        chance=str(hundred(size.best)),
        words=f"{fits_words(size)} {best_words(size)}".rstrip(),
        reasons=tuple(reason_words(reason, size.name) for reason in size.sized.reasons),
        help=tuple(HelpLink(words=way_words(w), address=w.address) for w in size.help),
        best=size in answer.leading,
        likeliest=bool(answer.leading) and size is max(answer.leading, key=lambda each: each.best),
        out=size.fits == "no",
        cockpit=_cockpit(size),
        address=address_of(size.choice),
        shared_address=address_of(replace(size.choice, rider=None)),
    )


def _cockpit(size: SizeFit) -> str:
    """The cockpit it takes, in words."""
    fitting = size.fitting
    return tr(
        (
            "{name}, {spacers:g} mm of spacers, {name_2}, "
            "{name_3}; saddle height {saddle_height:.0f} mm."
        ),
        name=fitting.stem.name,
        spacers=fitting.spacers,
        name_2=fitting.handlebar.name,
        name_3=size.post.post.name,
        saddle_height=size.saddle_height,
    )


def _saddle_words(saddle: SaddleAdvice | None) -> str:
    if saddle is None:
        return ""
    return tr(
        (
            "Saddle height on {size}: {height} from the BB centre to the top of the saddle, give "
            "or take {spread}, with {crank_length:g} mm cranks. Riders with the same legs differ "
            "by ±{of_habit} in what they like."
        ),
        size=saddle.size,
        height=said_length(saddle.height),
        spread=said_length(saddle.spread),
        crank_length=saddle.crank_length,
        of_habit=said_length(saddle.of_habit),
    )


def _saddle_rows(saddle: SaddleAdvice | None) -> tuple[SaddleRow, ...]:
    """The saddle height, and what published rules give for the same inseam."""
    if saddle is None:
        return ()
    rules: PublishedSaddleHeights = saddle.rules
    inseam = tr(
        "{length}, give or take {spread}",
        length=said_measure(saddle.inseam),
        spread=said_measure(saddle.inseam_spread),
    )
    return (
        SaddleRow(
            key="ours",
            name=tr("From your leg, by its joints"),
            shown=number(saddle.height, 0),
            explain=(
                (
                    tr("How"),
                    tr("Hip, knee and ankle over the lowest pedal, at the knee flexion asked."),
                ),
                (tr("Crotch height"), inseam),
            ),
        ),
        SaddleRow(
            key="hamley",
            name=tr("1.09 × crotch height, less the crank"),
            shown=number(float(rules.hamley_thomas), 0),
            explain=((tr("Source"), tr("Hamley and Thomas 1967, after Peveler and others 2005.")),),
        ),
        SaddleRow(
            key="share",
            name=tr("0.883 × crotch height"),
            shown=number(float(rules.inseam_share), 0),
            explain=((tr("Source"), tr("Peveler and others, JEPonline 8(1), 2005.")),),
        ),
        SaddleRow(
            key="gatti",
            name=tr("Regression on inseam, knee and seat angle"),
            shown=number(float(rules.gatti), 0),
            explain=((tr("Source"), tr("Gatti and others, Eur. J. Sport Sci. 2021; ± 12 mm.")),),
        ),
    )


def _first_asked(name: str) -> str:
    """The field to go to for a measure: for a stature, how it was measured, since it is known
    already.
    """
    return "stature_by" if name == "stature" else name
