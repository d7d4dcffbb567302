"""What is worked out once and kept while there is room."""

from __future__ import annotations

from webapp.common.memory import NOTHING, Memory


def test_what_is_asked_for_stays_while_what_is_not_goes_and_the_size_is_bounded() -> None:
    memory, made = Memory(most=20), list[str]()

    def often() -> str:
        made.append("often")
        return "often"

    memory.of("once", lambda: "once")
    for number in range(500):
        assert memory.of("often", often) == "often"
        assert memory.of(number, lambda number=number: number) == number  # type: ignore[misc]
        assert len(memory) <= 20
    assert made == ["often"]
    assert memory.find("once") is NOTHING
    assert memory.find(499) == 499
    assert memory.find("never") is NOTHING
