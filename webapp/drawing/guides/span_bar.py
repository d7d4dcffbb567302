"""Bars from the least to the most that builds reach."""

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


def two_bars(*, before: Ends | None, after: Ends | None) -> str:
    """Two bars at one scale as SVG, hidden from readers of text: before thin, after thick below.

    Parameters
    ----------
    before, after : (least, most) or None
        None where nothing is reached.

    Returns
    -------
    str

    Examples
    --------
    >>> two_bars(before=(1.0, 3.0), after=None).count("<path")
    1
    """
    ends = [value for pair in (before, after) if pair is not None for value in pair] or [0.0]
    scale = (_WIDE - 8.0) / ((max(ends) - min(ends)) or 1.0)
    drawn = "".join(
        f'<path class="{kind}" d="M{4.0 + (pair[0] - min(ends)) * scale:.1f} {height}'
        f'H{4.0 + (pair[1] - min(ends)) * scale:.1f}"/>'
        for kind, pair, height in (("span-all", before, 6.0), ("span-own", after, 16.0))
        if pair is not None
    )
    return (
        f'<svg class="span-bar" viewBox="0 0 {_WIDE:g} {_HIGH:g}" aria-hidden="true">{drawn}</svg>'
    )
