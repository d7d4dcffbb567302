"""The recipes of the guide's "How to add", followed to the letter in a copy of the tree.

Each is applied by edits in the files that its own words name and in no other; then the copy
is served, and what was added must be on every page that shows such a thing.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.architecture.reading_code import ROOT

FOLDERS = ("geometry", "webapp", "templates", "static", "demo_data")
ASKING = Path(__file__).with_name("every_page.py")


@dataclass(frozen=True)
class Edit:
    """``new`` put before or after the first place in a file that reads ``beside``."""

    file: str
    beside: str
    new: str
    after: bool = False

    def apply(self, tree: Path) -> None:
        path = tree / self.file
        text = path.read_text()
        assert self.beside in text, f"{self.file} has no longer {self.beside!r}"
        whole = self.beside + self.new if self.after else self.new + self.beside
        path.write_text(text.replace(self.beside, whole, 1))


RESULTS = "geometry/glossary/result_entries.py"
TERMS = "geometry/glossary/formula_terms.py"
STANDING = "geometry/bike/standing.py"
FIGURE_ROWS = "webapp/builds/page/figure_rows.py"
KINDS = "webapp/catalogue/schema/part_kinds.py"
PLACES = "webapp/builds/choice/places.py"
FORM = "webapp/builds/page/form.py"
TYRES = "webapp/builds/fitting/calculations/tyres.py"
GEOMETRY_TYRES = "geometry/clearance/tyre_checks.py"

# A length of the standing bike, and a ratio of two.
FIGURE = (
    Edit(
        RESULTS,
        '    length(\n        "wheelbase",',
        """\
    length(
        "front_lead",
        "Front lead",
        "FL",
        "How much further the front axle is from the BB than the rear one, level.",
        formula="FL = FC - RC",
        place="Standing.front_lead",
    ),
    ratio(
        "height_to_length",
        "Height to length",
        "k",
        "Stack over reach.",
        formula="k = S / R",
        place="Standing.height_to_length",
    ),
""",
    ),
    Edit(
        TERMS,
        '        "bb_drop": (',
        """\
        "front_lead": ("front_centre", "rear_centre"),
        "height_to_length": ("stack", "reach"),
""",
    ),
    Edit(STANDING, "    axle_distance: Num\n", "    front_lead: Num\n    height_to_length: Num\n"),
    Edit(
        STANDING,
        "        axle_distance=axle_distance,\n",
        """\
        front_lead=front_x_standing + rear_x_standing,
        height_to_length=standing_stack / standing_reach,
""",
    ),
    Edit(
        STANDING,
        "    front_radius: Num\n    rear_radius: Num\n\n    def place",
        "    front_lead: Num\n    height_to_length: Num\n",
    ),
    Edit(
        FIGURE_ROWS,
        '            "wheelbase",\n',
        '            "front_lead",\n            "height_to_length",\n',
    ),
)

# Two properties of two parts, both of them fields of the data.
RULE = (
    Edit(
        "webapp/builds/fitting/part_rules.py",
        "    # Wheels\n",
        """\
    fit_rule(
        "tyre.pair",
        ("tyre_rear.nominal_width", "at most", "tyre_front.nominal_width"),
        tr("tyre widths"),
        tr("{left} is {has} wide, wider than {right} in front with {takes}"),
        tr("a rear tyre of at most {takes}"),
        source=BUILDER,
        unit=tr("mm"),
    ),
""",
    ),
)

# A check that computes.
CHECK = (
    Edit(
        GEOMETRY_TYRES,
        "def room_remedy(",
        '''\
def between_tyres_check(wheelbase: float, *, radii: float) -> Check:
    """Whether the tyres keep apart, for wheels of so much radius together [mm]."""
    return judge(
        "tyre.between",
        figure=wheelbase - radii,
        limit=400.0,
        unit="mm",
        reason="There is little room between the tyres",
        source="the builder's experience",
        remedy="a longer frame",
        safety=True,
    )


''',
    ),
    Edit("geometry/clearance/__init__.py", "    TyreLevels,\n", "    between_tyres_check,\n"),
    Edit("geometry/clearance/__init__.py", '    "TyreLevels",\n', '    "between_tyres_check",\n'),
    Edit(
        "webapp/builds/fitting/calculations/questions.py",
        '        "tyre.mudguard.rear"',
        '        "tyre.between": Question(tr("room between the tyres"), _FRONT),\n',
    ),
    Edit(TYRES, "    TyreLevels,\n", "    between_tyres_check,\n"),
    Edit(TYRES, "from geometry.checks import", "from geometry.bike import stand\n"),
    Edit(
        TYRES,
        "    yield from setup.told(levels, *_FRONT_SIDES",
        """\
    build = setup.assembly.build
    radii = float(build.front_radius + build.rear_radius)
    yield between_tyres_check(float(stand(build).wheelbase), radii=radii)
""",
    ),
)

PART_KIND = (
    Edit(
        "webapp/catalogue/schema/cockpit_parts.py",
        "class PedalData(PartData):",
        '''\
class BellData(PartData):
    """A bell."""

    height: Annotated[float, mm("height over the bar", 10, 80, "all bells are in this range")]


''',
    ),
    Edit(KINDS, "    HandlebarData,\n    PedalData,", "    BellData,\n"),
    Edit(KINDS, '        "pedal": PedalData,', '        "bell": BellData,\n'),
    Edit(PLACES, '    Place("crank"', '    Place("bell", "bell", tr("Bell"), optional=True),\n'),
    Edit(FORM, '"handlebar"), ("spacers",)', '"bell", '),
    Edit(
        "demo_data/parts_cockpit.toml",
        "[[pedal]]",
        """\
[[bell]]
slug = "brass"
name = "brass bell"
price = "19.00"
for = ["knapweed", "burdock"]
usual_for = ["knapweed"]
height = 38
mass = 0.05

[[bell]]
slug = "small"
name = "small bell"
price = "9.00"
for = ["knapweed"]
height = 24

""",
    ),
)

RECIPES: Mapping[str, tuple[Edit, ...]] = {
    "A part kind": PART_KIND,
    "A check": RULE + CHECK,
    "A figure": FIGURE,
}


def words_of(recipe: str) -> str:
    """What the guide says of a recipe, in one line."""
    found = re.search(rf"\*\*{recipe}\.\*\*(.*?)\n\n", (ROOT / "DEVELOPERS.md").read_text(), re.S)
    assert found, f"the guide has no recipe {recipe}"
    return " ".join(found[1].split())


@pytest.mark.parametrize("recipe", RECIPES)
def test_a_recipe_names_every_file_it_takes(recipe: str) -> None:
    words = words_of(recipe)
    for edit in RECIPES[recipe]:
        path = Path(edit.file)
        names = {path.name, f"*_{path.name.rpartition('_')[2]}", f"`{path.parts[0]}`"}
        names |= {f"`{path.parts[0]}/`"}  # a new list, as in `demo_data/`
        assert any(name in words for name in names), edit.file


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """The copy's answers after every recipe was followed, by address."""
    tree, data = tmp_path_factory.mktemp("tree"), tmp_path_factory.mktemp("data")
    for folder in FOLDERS:
        shutil.copytree(ROOT / folder, tree / folder, ignore=shutil.ignore_patterns("__pycache__"))
    for edits in RECIPES.values():
        for edit in edits:
            edit.apply(tree)
    done = subprocess.run(
        [sys.executable, str(ASKING), str(data)],
        cwd=tree,
        env=os.environ | {"PYTHONPATH": str(tree)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    told = json.loads((data / "answers.json").read_text())
    refused = {address: text[:300] for address, (status, text) in told.items() if status != 200}
    assert refused == {}, done.stderr[-3000:]
    return {address: text for address, (_, text) in told.items()}


FIGURES_SHOWN = (
    "/build/knapweed",
    "/side-by-side?build=knapweed&build=burdock",
    "/table/knapweed",
    "/table/burdock/embed",
    "/q",
    "/q/sheet.pdf",
    "/counter/quotes/{number}/workshop",
    "/office/models/knapweed/changes?from=1&to=2",
)


@pytest.mark.parametrize("name", ["Front lead", "Height to length"])
def test_a_new_figure_is_shown(answers: dict[str, str], name: str) -> None:
    assert [address for address in FIGURES_SHOWN if name not in answers[address]] == []


@pytest.mark.parametrize("key", ["front_lead", "height_to_length"])
def test_a_new_figure_is_in_the_files(answers: dict[str, str], key: str) -> None:
    whole = json.loads(answers["/api/v1/models/knapweed/table.json"])
    assert key in json.dumps(whole)
    assert key in answers["/api/v1/models/knapweed/table.csv?all=1"].partition("\n")[0]


def test_a_new_rule_refuses_in_its_own_words(answers: dict[str, str]) -> None:
    page = answers["/build/knapweed"]
    assert re.search(r"is \d+ mm wide, wider than [^<]* in front with", page)
    assert "Tyre widths: " in page  # and says where it fits


def test_a_new_check_is_told_and_judged(answers: dict[str, str]) -> None:
    for address in ("/build/knapweed", "/q", "/api/v1/models/knapweed/checks"):
        assert "oom between the tyres" in answers[address]
    assert "Does not fit. There is little room between" in answers["/build/burdock"]
    assert "Does not fit. There is little room between" not in answers["/build/knapweed"]


def test_a_new_kind_of_part_is_offered_priced_and_quoted(answers: dict[str, str]) -> None:
    page = answers["/build/knapweed"]
    assert 'name="bell"' in page
    assert "bell=brass" in page
    assert "mall bell" in page
    seen = ("/api/v1/models/knapweed", "/q", "/q/sheet.pdf", "/counter/quotes/{number}/build",
            "/counter/quotes/{number}/workshop", "/office/parts?kind=bell",
            "/office/prices/eur-2026?kind=bell", "/office/import/parts.csv?kind=bell")  # fmt: skip
    assert [address for address in seen if "rass bell" not in answers[address]] == []


def test_the_office_asks_for_what_a_new_kind_holds(answers: dict[str, str]) -> None:
    for address in ("/office/parts/bell/new", "/office/parts/bell/brass"):
        assert "Height over the bar" in answers[address]
