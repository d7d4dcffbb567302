"""What everything else stands on: angles in degrees, numbers checked at the door, the
errors that name field, value and remedy, and statements: codes with values for others to say.
"""

from geometry.core.angles import FloatArray, Mask, Num, cos, degrees, length, radians, rotate, sin
from geometry.core.errors import ContradictoryInput, GeometryError, Index, InvalidInput, NoSolution
from geometry.core.inputs import (
    Checked,
    check_shapes,
    checked,
    first_bad,
    number,
    plain,
    refuse,
    whole,
    within,
)
from geometry.core.statements import AnyOf, Statement

__all__ = [
    "AnyOf",
    "Checked",
    "ContradictoryInput",
    "FloatArray",
    "GeometryError",
    "Index",
    "InvalidInput",
    "Mask",
    "NoSolution",
    "Num",
    "Statement",
    "check_shapes",
    "checked",
    "cos",
    "degrees",
    "first_bad",
    "length",
    "number",
    "plain",
    "radians",
    "refuse",
    "rotate",
    "sin",
    "whole",
    "within",
]
