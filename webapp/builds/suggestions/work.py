"""A limit on what is computed while looking for remedies: it is counted, and stops in time.

Work is counted, not time, so that the same build gets the same answer however busy the machine is.
"""

from __future__ import annotations

from dataclasses import dataclass

# What each step costs, in units of about a hundredth of a millisecond.
RULE = 1  # one rule of fit between two parts
JUDGE = 45  # every option's rules and roles made ready
STANDING = 26  # a build put together and stood up
PARTS = 250  # what is computed of a whole bike, but for the feet
FEET = 90  # pedals and toes of one build

PAGE = 11_000
"""What one page may spend on changes that would help, all together."""


@dataclass
class Work:
    """Work done so far, and how much of it there may be.

    Parameters
    ----------
    most : int
        Units, as in this module's costs.

    Examples
    --------
    >>> work = Work(100)
    >>> work.spend(PARTS)
    >>> work.done, work.is_over
    (250, True)
    """

    most: int = PAGE
    done: int = 0

    def spend(self, units: int) -> None:
        """Count a step, just before it is made."""
        self.done += units

    @property
    def is_over(self) -> bool:
        """Whether nothing more may be begun."""
        return self.done >= self.most

    def share(self) -> Work:
        """Half of what is left, for one of several searches; `join` counts what it spent."""
        return Work(most=max(0, self.most - self.done) // 2)

    def join(self, part: Work) -> None:
        """Count what a search with its own share has done."""
        self.done += part.done
