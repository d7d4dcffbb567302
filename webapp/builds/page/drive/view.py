"""The drive, the post and the bottles of a build as the build page shows them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from urllib.parse import quote

from webapp.builds.choice.build_choice import query_of
from webapp.builds.evaluation import BuildResult
from webapp.builds.page.drive.grids import (
    Grid,
    bottles_grid,
    closings_grid,
    droppers_grid,
    gears_grid,
    pairs_grid,
)
from webapp.builds.page.drive.words import drive_words


@dataclass(frozen=True, kw_only=True)
class DriveView:
    """What the page says about drive, post and bottles.

    Parameters
    ----------
    place : str
        Where the axle is and what that means.
    others : tuple of str
        What else follows from ring, sprocket and chain or belt.
    closings, pairs, gears, droppers, bottles : Grid or None
        None where there is nothing to tell.
    wish_address : str
        Where the pairs are ranked by a wish.
    """

    place: str
    others: tuple[str, ...]
    closings: Grid | None
    pairs: Grid | None
    wish_address: str
    gears: Grid | None
    droppers: Grid | None
    bottles: Grid | None

    @property
    def more(self) -> bool:
        """Whether there is more to tell of ring, chain and room than where the axle is."""
        return bool(self.others or self.closings)

    def moved(self, link: Callable[[str], str]) -> DriveView:
        """The same with every address put through ``link``."""
        return replace(
            self,
            closings=self.closings.moved(link) if self.closings else None,
            pairs=self.pairs.moved(link) if self.pairs else None,
        )


def drive_view(result: BuildResult) -> DriveView:
    """Drive, post and bottles of a build, printed.

    Parameters
    ----------
    result : BuildResult

    Returns
    -------
    DriveView
    """
    setup = result.setup
    first, *others = drive_words(setup)
    return DriveView(
        place=first,
        others=tuple(others),
        closings=closings_grid(setup),
        pairs=pairs_grid(setup),
        wish_address=f"/build/{quote(result.choice.model)}/drive?{query_of(result.choice)}",
        gears=gears_grid(setup),
        droppers=droppers_grid(setup),
        bottles=bottles_grid(setup),
    )
