"""The picture in the guide is that of the code's own imports."""

from tests.develop.picture import END, GUIDE, START, boxes, drawn


def test_the_picture_in_the_guide_is_true() -> None:
    """`python -m tests.develop.picture` draws it anew."""
    guide = GUIDE.read_text("utf-8")
    assert guide.count(START) == guide.count(END) == 1
    assert drawn(guide) == guide


def test_arrows_that_others_imply_are_left_out_and_circles_are_one_box() -> None:
    graph = {"a": {"b", "c"}, "b": {"c"}, "c": {"d"}, "d": {"c"}}
    box, arrows = boxes({name: frozenset(beside) for name, beside in graph.items()})
    assert box == {"a": "a", "b": "b", "c": "c + d", "d": "c + d"}
    assert arrows == {("a", "b"), ("b", "c + d")}
