"""Names of sizes, shortened where a table is narrow."""

from __future__ import annotations

LONGEST = 5  # letters that stand in a narrow column as they are


def short_size_name(name: str) -> str:
    """The initials of a long name of words, ``Extra`` by its X; any other name as it is.

    Examples
    --------
    >>> [short_size_name(name) for name in ("Extra extra large", "Medium", "54", "Large long")]
    ['XXL', 'M', '54', 'LL']
    """
    words = name.split()
    if len(name) <= LONGEST or not all(word.isalpha() for word in words):
        return name
    return "".join("X" if word.lower() == "extra" else word[0].upper() for word in words)
