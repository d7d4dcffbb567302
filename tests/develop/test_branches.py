"""The marks of `tests.develop.branches`: one for each way a module can go."""

from __future__ import annotations

import contextlib

from tests.develop.branches import marked

SOURCE = '''
def told(numbers, kind):
    """Says what is in a list."""
    for number in numbers:
        if number < 0:
            raise ValueError
    match kind:
        case "one":
            return 1
        case _:
            pass
    try:
        return numbers[0]
    except IndexError:
        return None
'''


def taken(*calls: tuple[list[int], str]) -> list[int]:
    """Lines whose marks are not set after some calls."""
    tree, lines = marked(SOURCE, "told.py")
    space: dict[str, object] = {"__branches_taken__": bytearray(len(lines))}
    exec(compile(tree, "told.py", "exec"), space)  # noqa: S102
    for numbers, kind in calls:
        with contextlib.suppress(ValueError):
            space["told"](numbers, kind)  # type: ignore[operator]
    marks = space["__branches_taken__"]
    assert isinstance(marks, bytearray)
    return sorted(line for line, took in zip(lines, marks, strict=True) if not took)


def test_a_module_that_is_only_loaded_takes_none_of_its_branches() -> None:
    assert taken() == [2, 4, 4, 5, 5, 8, 10, 14]


def test_each_call_takes_the_branches_it_goes_through() -> None:
    assert taken(([1, 2], "other")) == [5, 8, 14]
    assert taken(([1, 2], "other"), ([], "one"), ([], "other"), ([-1], "one")) == []


def test_what_a_function_says_of_itself_stays_its_first_word() -> None:
    tree, lines = marked(SOURCE, "told.py")
    space: dict[str, object] = {"__branches_taken__": bytearray(len(lines))}
    exec(compile(tree, "told.py", "exec"), space)  # noqa: S102
    assert space["told"].__doc__ == "Says what is in a list."
