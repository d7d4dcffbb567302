"""The frozen content of a quote: the one source of every sheet, on the web and on paper.

It is kept as JSON and read back through these classes. A stored quote must open
for ever, so a field is never removed, renamed or given another meaning; a new
one has a default that is true of older quotes. What is printed is frozen as text; amounts are
frozen as whole minor units too, for the accounts, and what was measured or computed as a number
too. Where an older quote kept the print alone, the number is read from it as the quote is
opened.
"""

from __future__ import annotations

from datetime import date
from typing import Any, Literal

from pydantic import model_validator

from webapp.common.text.money import Money
from webapp.common.text.units import minus
from webapp.pricing.totals import printed_money
from webapp.quote.agreed_terms.deal import Deal
from webapp.quote.frozen_check import Frozen, FrozenCheck, Number, read_printed


class Amount(Frozen):
    """An amount: whole minor units, their ISO 4217 code, and as printed.

    >>> Amount.of(Money(123450, "EUR"))
    Amount(minor=123450, currency='EUR', printed='1,234.50 EUR')
    """

    minor: int
    currency: str
    printed: str

    @classmethod
    def of(cls, money: Money) -> Amount:
        """Freeze an amount."""
        return cls(minor=money.minor, currency=money.currency, printed=printed_money(money))

    @property
    def figure(self) -> str:
        """As printed in a column whose heading states the currency."""
        return minus(Money(self.minor, self.currency).figure())


class Letterhead(Frozen):
    """Who quotes; ``mark`` is the fingerprint of the firm's, which older quotes did not keep."""

    name: str
    lines: tuple[str, ...]
    email: str
    telephone: str
    web: str
    tax_number: str
    mark: str = ""


class FrozenBuild(Frozen):
    """Which build is quoted; ``query`` is its canonical address, without the rider.

    ``extra_weeks`` is what its finish adds to the shop's lead time; older quotes added nothing.
    """

    model_slug: str
    model: str
    summary: str
    revision: int
    size_slug: str
    size: str
    scope: str
    scope_words: str
    query: str
    extra_weeks: float = 0.0


class Line(Frozen):
    """One line of the build list."""

    key: str
    place: str
    item: str
    amount: Amount


class Total(Frozen):
    """One line under the build list; ``main`` is the sum to pay.

    ``amount`` is as printed, ``money`` the same with its number. Older quotes kept
    what was printed alone; their number is read from it here, and nowhere else.
    """

    label: str
    amount: str
    main: bool
    money: Amount

    @model_validator(mode="before")
    @classmethod
    def _with_number(cls, kept: Any) -> Any:
        if not isinstance(kept, dict) or "money" in kept:
            return kept
        figure, _, currency = str(kept["amount"]).rpartition(" ")
        minor = Money.parse(figure.replace("−", "-"), currency).minor
        money = {"minor": minor, "currency": currency, "printed": kept["amount"]}
        return kept | {"money": money}


class Pricing(Frozen):
    """Everything about the price."""

    price_list: str
    lines: tuple[Line, ...]
    totals: tuple[Total, ...]
    net: Amount
    tax: Amount
    gross: Amount
    deposit: Amount
    to_pay: Amount | None = None
    tax_name: str
    tax_percent: str
    deposit_percent: str
    tax_included: bool


class ListLine(Frozen):
    """One line as the price list has it."""

    key: str
    place: str
    item: str
    minor: int


class PriceBasis(Frozen):
    """The list prices a version was made from, before anything was agreed."""

    price_list: str
    currency: str
    lines: tuple[ListLine, ...]
    tax_included: bool
    tax_name: str
    tax_percent: str
    deposit_percent: str


class Figure(Frozen):
    """One figure in every state, as printed; ± of each, empty where none was told.

    ``numbers`` and ``half_widths`` are the same in ``unit``, None where there is none.
    """

    key: str
    name: str
    symbol: str
    unit: str
    group: str
    cells: tuple[str, ...]
    explain: tuple[tuple[str, str], ...]
    tolerances: tuple[str, ...] = ()
    numbers: tuple[Number, ...]
    half_widths: tuple[Number, ...]

    @model_validator(mode="before")
    @classmethod
    def _with_numbers(cls, given: Any) -> Any:
        if not isinstance(given, dict) or "numbers" in given:
            return given
        return given | {
            "numbers": tuple(read_printed(cell)[0] for cell in given["cells"]),
            "half_widths": tuple(read_printed(each)[0] for each in given.get("tolerances", ())),
        }


_SET_IN = ("mm", "kg")  # units of what was set; other words after a number are part names


class Setting(Frozen):
    """One thing the build is set to, with what explains it to a mechanic.

    ``number`` is the printed value in ``unit``, None for what is set in words.
    """

    label: str
    value: str
    note: str = ""
    number: Number = None
    unit: str = ""

    @model_validator(mode="before")
    @classmethod
    def _with_number(cls, given: Any) -> Any:
        if not isinstance(given, dict) or "number" in given:
            return given
        number, unit = read_printed(given["value"])
        return given | ({"number": number, "unit": unit} if unit in _SET_IN else {"number": None})


class Drawing(Frozen):
    """The side elevation as drawn: SVG for wide and narrow screens and for paper, and in words.

    The paper's is true to ``scale`` where it is placed ``paper_width`` [mm] wide. ``small``
    stands on the first page, ``small_width`` [mm] wide; versions frozen before there was
    one keep the layout they were made for.
    """

    full: str
    compact: str
    paper: str
    paper_width: float
    paper_height: float
    scale: int
    title: str
    words: str
    small: str = ""
    small_width: float = 0.0
    small_height: float = 0.0


class FrozenBike(Frozen):
    """One further bike of a quote: everything frozen of it but its price.

    Its lines stand among those of the whole quote, under keys of its own.
    """

    build: FrozenBuild
    states: tuple[str, ...]
    figures: tuple[Figure, ...]
    settings: tuple[Setting, ...]
    assembly: tuple[Setting, ...]
    checks: tuple[FrozenCheck, ...]
    drawing: Drawing
    revised: tuple[str, ...] = ()


class QuoteContent(Frozen):
    """One version of a quote, whole.

    A quote holds one bike or several: ``build`` and all that was frozen of it is the first,
    ``further`` are the others. Older quotes hold one. Price, terms and times are of all.
    """

    form: Literal[1] = 1
    program: str
    paper: Literal["A4", "Letter"]
    letterhead: Letterhead
    build: FrozenBuild
    price: Pricing
    valid_until: date
    valid_days: int
    lead_time: str
    states: tuple[str, ...]
    figures: tuple[Figure, ...]
    settings: tuple[Setting, ...]
    assembly: tuple[Setting, ...]
    checks: tuple[FrozenCheck, ...]
    drawing: Drawing
    cautions: tuple[str, ...]
    terms: tuple[str, ...]
    fit_notice: str
    basis: PriceBasis | None = None
    revised: tuple[str, ...] = ()
    deal: Deal = Deal()
    further: tuple[FrozenBike, ...] = ()
