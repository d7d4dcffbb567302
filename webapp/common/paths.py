"""Where the parts of the source tree are that are not Python."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = ROOT / "templates"
STATIC = ROOT / "static"
DEMO_DATA = ROOT / "demo_data"
