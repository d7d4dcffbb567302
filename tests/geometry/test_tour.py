"""The tour of geometry in the guide for contributors runs as it is printed."""

from __future__ import annotations

import doctest
import re
from pathlib import Path

GUIDE = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"


def test_the_tour_prints_what_the_guide_says() -> None:
    (tour,) = re.findall(r"```python\n(>>> .*?)```", GUIDE.read_text(encoding="utf-8"), re.S)
    test = doctest.DocTestParser().get_doctest(tour, {}, "tour", str(GUIDE), 0)
    assert len(test.examples) > 10
    failed, _ = doctest.DocTestRunner(verbose=False).run(test)
    assert failed == 0
