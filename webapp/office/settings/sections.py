"""The shop's settings in short sections, each shown and saved separately.

Name, address, country, mark, money and time zone are the page of one's own shop, and not
here.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from webapp.catalogue.schema.shop import FitPractice, ShopSettings
from webapp.common.errors import NotFound
from webapp.common.text.language import tr

_FIT = "fit"


@dataclass(frozen=True, kw_only=True)
class Section:
    """A section: its name in addresses, its words, and the fields it holds, by path.

    ``quoted`` says that a quote would show what is typed, so that a preview stands beside it.
    """

    name: str
    label: str
    lead: str
    paths: tuple[str, ...]
    quoted: bool = False

    @property
    def address(self) -> str:
        """The address of its page."""
        return f"/office/settings/{self.name}"

    @property
    def left_out(self) -> frozenset[str]:
        """Paths of all other fields."""
        tops = {path.partition(".")[0] for path in self.paths}
        others = {name for name in ShopSettings.model_fields if name not in tops}
        if any(path.startswith(f"{_FIT}.") for path in self.paths):
            within = (f"{_FIT}.{name}" for name in FitPractice.model_fields)
            others |= {path for path in within if path not in self.paths}
        return frozenset(others)

    def holds(self, field: str) -> bool:
        """Whether a field of the form belongs to it."""
        return any(field == path or field.startswith(f"{path}.") for path in self.paths)

    def put_into(self, kept: Mapping[str, Any], typed: Mapping[str, Any]) -> dict[str, Any]:
        """All settings, with this section's as typed and the others as saved."""
        whole: dict[str, Any] = deepcopy(dict(kept))
        for path in self.paths:
            *above, last = path.split(".")
            into, given = whole, typed
            for step in above:
                into, given = into.setdefault(step, {}), given.get(step, {})
            into.pop(last, None)
            if last in given:
                into[last] = given[last]
        return whole


SECTIONS = (
    Section(
        name="quotes",
        label=tr("Quotes and orders"),
        lead=tr("How long a quote is valid, what is paid when, and when names are erased."),
        paths=(
            "quote_valid_days", "lead_time_weeks", "deposit_percent", "how_to_pay",
            "confirm_before_order", "retention_months",
        ),
        quoted=True,
    ),
    Section(
        name="texts",
        label=tr("Texts"),
        lead=tr("What the first screen says, and what is printed on every quote."),
        paths=("welcome", "cautions", "terms", "fit_notice"),
        quoted=True,
    ),
    Section(
        name="elsewhere",
        label=tr("Customers elsewhere"),
        lead=tr("Places with another tax than at home."),
        paths=("destinations",),
    ),
    Section(
        name="whole-bikes",
        label=tr("Whole bikes"),
        lead=tr("Builds in a few words, offered on the first screen; each sets many parts."),
        paths=("starting_points",),
    ),
    Section(
        name="packages",
        label=tr("Packages and surcharges"),
        lead=tr("What a bike costs more or less when certain parts come together."),
        paths=("price_rules",),
    ),
    Section(
        name="sizes",
        label=tr("Which size fits"),
        lead=tr("How near a size must be, and how far a rider’s posture is trusted."),
        paths=(
            "fit.posture_share", "fit.within", "fit.beyond", "fit.taste_share", "fit.men_percent",
            "fit.preference",
        ),
    ),
    Section(
        name="questions",
        label=tr("Questions to riders"),
        lead=tr("What riders can answer about themselves, and how it moves their posture."),
        paths=("fit.flexibility", "fit.discomfort"),
    ),
)  # fmt: skip


def section_named(name: str) -> Section:
    """The section of that name in addresses.

    Raises
    ------
    NotFound
        When there is none.
    """
    found = next((each for each in SECTIONS if each.name == name), None)
    if found is None:
        names = ", ".join(each.name for each in SECTIONS)
        raise NotFound("settings", name, tr("one of {choices}", choices=names))
    return found
