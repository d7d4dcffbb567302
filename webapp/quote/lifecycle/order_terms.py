"""What a customer gives when they order: where the bike goes, and that they agree to the terms."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.common.errors import Gathering
from webapp.common.text.language import tr
from webapp.customers.typed import several_lines

LONGEST_ADDRESS = 500
FEWEST_LINES = 2


@dataclass(frozen=True, kw_only=True)
class OrderTerms:
    """The form under a quote, as typed and ticked."""

    address: str
    agreed: bool

    def check(self) -> None:
        """Refuse an order without an address or without agreement.

        Raises
        ------
        Invalid
            With both fields, where both are missing.

        Examples
        --------
        >>> OrderTerms(address="Mill Lane 3\\n4051 Reedham", agreed=True).check()
        >>> OrderTerms(address="", agreed=False).check()
        Traceback (most recent call last):
        ...
        webapp.common.errors.Invalid: address is '': ...; agreed is None: ...
        """
        gathering = Gathering()
        lines = self._lines()
        if len(lines) > LONGEST_ADDRESS or len(lines.splitlines()) < FEWEST_LINES:
            remedy = tr(
                "street and place, on two lines or more, at most {most} characters",
                most=LONGEST_ADDRESS,
            )
            gathering.add("address", self.address[:LONGEST_ADDRESS], remedy)
        if not self.agreed:
            remedy = tr("tick that you agree to the terms; without that there is no order")
            gathering.add("agreed", None, remedy)
        gathering.finish()

    def kept_values(self) -> dict[str, str | bool]:
        """What is kept of it with the acceptance."""
        return {"address": self._lines(), "agreed": self.agreed}

    def _lines(self) -> str:
        return several_lines(self.address)
