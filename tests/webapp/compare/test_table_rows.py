"""The table of a comparison: printed figures, and differences a reader can check by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from tests.webapp.compare.bikes import bike
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import compute
from webapp.builds.page.figure_rows import KEYS, printed
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.money import Money
from webapp.compare.table_rows import SAME, comparison_rows, part_rows
from webapp.compare.variants import copies_of


def decimal(shown: str) -> Decimal:
    return Decimal(shown.replace("\N{MINUS SIGN}", "-"))


def test_cells_are_the_builds_figures_and_differences_add_up(
    trail: Catalogue, tourer: Catalogue
) -> None:
    bikes = [bike(trail), bike(trail, size="l", slot="12"), bike(tourer)]
    rows = {row.key: row for row in comparison_rows(bikes, state="sagged")}
    for key in KEYS:
        cells = rows[key].cells
        assert [cell.shown for cell in cells] == [
            printed(key, each.figures("sagged")[key]) for each in bikes
        ]
        assert cells[0].difference == ""
        for cell in cells[1:]:
            by = Decimal(0) if cell.difference == SAME else decimal(cell.difference)
            assert decimal(cells[0].shown) + by == decimal(cell.shown)
        assert rows[key].explain


def test_equal_rows_are_those_where_all_print_the_same(trail: Catalogue) -> None:
    rows = {row.key: row for row in comparison_rows([bike(trail)] * 3, state="unloaded")}
    assert all(row.equal for row in rows.values())
    assert all(not cell.difference for cell in rows["reach"].without_differences().cells)
    longer = comparison_rows([bike(trail), bike(trail), bike(trail, slot="20")], state="unloaded")
    differing = {row.key: row for row in longer if not row.equal}
    assert differing["axle-position"].cells[2].difference == "+20.0"
    assert differing["axle-position"].cells[1].difference == SAME
    assert "price" not in differing


def test_price_row(trail: Catalogue) -> None:
    a = replace(bike(trail), price=Money(100000, "EUR"))
    prices = [Money(90000, "EUR"), Money(90000, "GBP"), None]
    row = comparison_rows([a, *(replace(a, price=price) for price in prices)], state="unloaded")[0]
    assert [(cell.shown, cell.difference) for cell in row.cells] == [
        ("1,000.00 EUR", ""),
        ("900.00 EUR", "−100.00 EUR"),
        ("900.00 GBP", ""),
        ("not known", ""),
    ]


def test_bikes_with_the_same_part_stand_together(trail: Catalogue) -> None:
    bikes = [bike(trail), bike(trail, fork="suspension-150"), bike(trail)]
    rows = {row.place: row for row in part_rows("ABC", bikes)}
    assert rows["Fork"].names == (
        ("AC", "suspension fork 29, 130 mm"),
        ("B", "suspension fork 29, 150 mm"),
    )
    assert rows["Saddle"].equal


def test_copies_change_one_thing_and_can_be_computed(trail: Catalogue, tourer: Catalogue) -> None:
    for catalogue in (trail, tourer):
        choice = read_choice(catalogue, {}).strict()
        groups = {group.heading: group.copies for group in copies_of(catalogue, choice)}
        assert len(groups["Size"]) == len(catalogue.sizes) - 1
        assert len(groups["Fork"]) == len(catalogue.offered("fork")) - 1
        made = [copy.choice for copies in groups.values() for copy in copies]
        assert choice not in made
        assert len(set(map(str, made))) == len(made)
        for each in made:
            compute(catalogue, each)
    ends = read_choice(trail, {"slot": ["5"]}).strict()
    axle = {group.heading: group.copies for group in copies_of(trail, ends)}["Axle"]
    assert [copy.label for copy in axle] == ["right forward, 0 mm", "right back, 24 mm"]
    fixed = copies_of(tourer, read_choice(tourer, {}).strict())
    assert "Axle" not in {group.heading for group in fixed}
