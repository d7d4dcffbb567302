"""A bar from the least to the most that builds reach, this size's part thick, one build marked."""

from __future__ import annotations

_WIDE, _HIGH = 300.0, 24.0

Ends = tuple[float, float]


def span_bar(*, present: float, own: Ends, every: Ends) -> str:
    """One bar as SVG, hidden from readers of text, which stands beside it.

    Parameters
    ----------
    present : float
        Of the build that is marked.
    own, every : (least, most)
        Of its size, and of all sizes.

    Returns
    -------
    str

    Examples
    --------
    >>> "span-mark" in span_bar(present=2.0, own=(1.0, 3.0), every=(0.0, 4.0))
    True
    """
    low, high = min(present, *own, *every), max(present, *own, *every)
    scale = (_WIDE - 8.0) / ((high - low) or 1.0)

    def at(value: float) -> str:
        return f"{4.0 + (value - low) * scale:.1f}"

    middle = _HIGH / 2
    return (
        f'<svg class="span-bar" viewBox="0 0 {_WIDE:g} {_HIGH:g}" aria-hidden="true">'
        f'<path class="span-all" d="M{at(every[0])} {middle}H{at(every[1])}"/>'
        f'<path class="span-own" d="M{at(own[0])} {middle}H{at(own[1])}"/>'
        f'<path class="span-mark" d="M{at(present)} 2V{_HIGH - 2:g}"/></svg>'
    )
