"""The drawing beside the geometry table: every size as it stands, the rider's own marked."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.builds.choice.build_choice import BuildChoice
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.drawing.sizes import DrawnSize, SizesPicture, sizes_in_words, sizes_picture
from webapp.fit.advice import named_size
from webapp.geometry_table.geometry_table import TableColumn

_SHORT = 4  # letters of a slug that can stand for the name on a phone's drawing


def sizes_drawn(
    model: str, columns: Sequence[TableColumn], *, state: str, state_words: str, own: str
) -> SizesPicture:
    """All sizes over each other in one state.

    Parameters
    ----------
    model : str
        The model's name.
    columns : sequence of TableColumn
        At least one.
    state, state_words : str
        One of their states, and how it is called.
    own : str
        Name of the rider’s own size; empty where none is known.

    Returns
    -------
    SizesPicture
        For wide and for narrow screens.
    """
    sizes = [
        DrawnSize(
            name=column.name,
            short=column.size.upper() if len(column.size) <= _SHORT else column.name,
            points=column.points(state),
            own=column.name == own,
        )
        for column in columns
    ]
    return sizes_picture(
        sizes,
        title=tr("{model}, all sizes, {state}", model=model, state=state_words),
        words=sizes_in_words([column.name for column in columns], state_words),
        layouts=("full", "compact"),
    )


def own_size(catalogue: Catalogue, choice: BuildChoice) -> str:
    """Name of the size that suits the rider in the address; empty where there is none."""
    rider = choice.rider
    if rider is None or not rider.known:
        return ""
    try:
        return named_size(catalogue, rider, choice)
    except Invalid:
        return ""
