"""Building blocks of catalogue data: numbers with unit and range, names, slugs.

Catalogue data is kept as JSON and validated by the classes built from these
blocks, whoever writes it: the demo loader, a form, an imported file. A number
out of range is refused with its unit, its range and the reason for the range.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field


class Data(BaseModel):
    """A piece of catalogue data: frozen, nothing unknown in it, every number finite."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, allow_inf_nan=False, str_strip_whitespace=True
    )


class Mismatch(ValueError):
    """Values that are each possible do not go together; names the field to change.

    >>> str(Mismatch("rotor_min", "at most rotor_max"))
    'at most rotor_max'
    """

    def __init__(self, field: str, remedy: str) -> None:
        self.field = field
        super().__init__(remedy)


def number(what: str, low: float, high: float, unit: str, why: str) -> Any:
    """Describe one number: what it is, its range and the reason for the range.

    Parameters
    ----------
    what : str
        The quantity in the trade's words; becomes the field's description.
    low, high : float
        Least and largest value accepted, both included [unit].
    unit : str
        Its unit, as printed after the number; empty for a plain count or ratio.
    why : str
        Why values outside are refused, as a sentence without its full stop.

    Returns
    -------
    pydantic.fields.FieldInfo
        For use inside ``Annotated``.

    Examples
    --------
    >>> number("stem length", 0, 150, "mm", "longer stems are not sold").description
    'stem length [mm]'
    """
    described = f"{what} [{unit}]" if unit else what
    extra: dict[str, Any] = {"unit": unit, "why": why}
    return Field(ge=low, le=high, description=described, json_schema_extra=extra)


def mm(what: str, low: float, high: float, why: str) -> Any:
    """Describe a length in millimetres; see `number`.

    >>> mm("reach", 300, 600, "no frame is drawn outside").json_schema_extra["unit"]
    'mm'
    """
    return number(what, low, high, "mm", why)


def deg(what: str, low: float, high: float, why: str) -> Any:
    """Describe an angle in degrees; see `number`.

    >>> deg("head angle", 55, 80, "no bicycle steers well outside").description
    'head angle [degrees]'
    """
    return number(what, low, high, "degrees", why)


Slug = Annotated[
    str,
    Field(
        pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$",
        max_length=60,
        description="name in addresses",
        json_schema_extra={"form": "small letters and figures, joined by single hyphens"},
    ),
]
Name = Annotated[str, Field(min_length=1, max_length=120, description="name as shown")]
Text = Annotated[str, Field(max_length=4000, description="plain text")]
CODE_PATTERN = r"^[a-z0-9][a-z0-9.x/-]*$"
"""How a code is written; a text of data with this pattern is one."""


def _standard(joint: str) -> Any:
    """Describe the code of a fitting standard, and which joint of a bike it is for."""
    form: dict[str, Any] = {"form": "small letters, figures, dots, slashes and hyphens"}
    return Field(
        pattern=CODE_PATTERN,
        max_length=40,
        description="name of a fitting standard; two parts meet when the names are equal",
        json_schema_extra=form | ({"joint": joint} if joint else {}),
    )


Standard = Annotated[str, _standard("")]
SteererStandard = Annotated[str, _standard("steerer")]
HeadTubeStandard = Annotated[str, _standard("head_tube")]
FrontAxleStandard = Annotated[str, _standard("front_axle")]
RearAxleStandard = Annotated[str, _standard("rear_axle")]
ShellStandard = Annotated[str, _standard("bottom_bracket")]
BrakeMountStandard = Annotated[str, _standard("brake_mount")]
RotorFixing = Annotated[str, _standard("rotor_fixing")]
RingMount = Annotated[str, _standard("ring_mount")]
SprocketMount = Annotated[str, _standard("sprocket_mount")]
LoopStandard = Annotated[str, _standard("loop")]
HangerStandard = Annotated[str, _standard("hanger")]
BossStandard = Annotated[str, _standard("boss")]

BeadSeatDiameter = Annotated[
    int,
    number(
        "bead seat diameter of the rim (ISO 5775)",
        305,
        635,
        "mm",
        "ISO 5775 rims for adult bicycles lie in this range; 622 and 584 are the usual ones",
    ),
]
Teeth = Annotated[
    int, number("teeth", 9, 80, "teeth", "smaller and larger wheels are not made for bicycles")
]
TyreWidth = Annotated[float, mm("tyre width", 18, 130, "no bicycle tyre is narrower or wider")]
Rotor = Annotated[
    int, mm("brake rotor diameter", 120, 230, "no bicycle rotor is smaller or larger")
]
Kilograms = Annotated[float, number("mass", 0, 400, "kg", "nothing on a bicycle weighs more")]
Chainline = Annotated[
    float,
    mm("chainline, from the frame's middle plane", 30, 70, "no bicycle's chain runs outside"),
]
