"""A firm's mark as SVG, cleaned: only shapes and paints of a short list come through.

What is kept is written anew from what was read, so that nothing can hide in what a
browser would read otherwise. Scripts, links, styles, text, images and everything of other
namespaces are left out; a document type is refused before anything is parsed, since
entities grow and reach outside.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from math import inf

from webapp.common.errors import Invalid
from webapp.common.text.language import tr

LARGEST = 64_000  # bytes
_MOST = 3000  # elements
_NS = "http://www.w3.org/2000/svg"
_PREFIX = f"{{{_NS}}}"

_SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
_AROUND = frozenset(
    {"svg", "g", "defs", "title", "desc", "linearGradient", "radialGradient", "stop", "clipPath"}
)
_PAINT = frozenset(
    {
        "fill", "fill-opacity", "fill-rule", "stroke", "stroke-width", "stroke-opacity",
        "stroke-linecap", "stroke-linejoin", "stroke-miterlimit", "stroke-dasharray",
        "stroke-dashoffset", "opacity", "clip-path", "clip-rule", "stop-color", "stop-opacity",
        "color", "display", "visibility", "vector-effect",
    }
)  # fmt: skip
_PLACE = frozenset(
    {
        "id", "viewBox", "width", "height", "preserveAspectRatio", "transform", "d", "points",
        "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "fx", "fy", "offset",
        "gradientUnits", "gradientTransform", "spreadMethod", "clipPathUnits", "pathLength",
    }
)  # fmt: skip
_HARMLESS = re.compile(r"[\w\s.,:;#%+()-]*")
_OWN_PAINT = re.compile(r"url\(\s*['\"]?#([\w-]+)['\"]?\s*\)")
_DECLARED = re.compile(r"<!(?!--|\[CDATA\[)")
_NUMBER = re.compile(r"[0-9.]+(px)?")


def cleaned_svg(content: bytes) -> bytes:
    """A mark written anew from those of its elements that are on the list.

    Parameters
    ----------
    content : bytes
        As uploaded.

    Returns
    -------
    bytes
        SVG in UTF-8, with a view box.

    Raises
    ------
    Invalid
        For what is no SVG, declares a document type, is too large, or draws nothing.

    Examples
    --------
    >>> cleaned_svg(b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9" onload="x()">'
    ...             b'<script>x()</script><path d="M0 0h9" style="fill:red"/></svg>')
    b'<svg ... viewBox="0 0 9 9"><path d="M0 0h9" fill="red" /></svg>'
    """
    root = _parsed(content)
    if sum(1 for _ in root.iter()) > _MOST:
        raise _refused(tr("a simpler drawing, of at most {most} shapes", most=_MOST))
    if not root.get("viewBox"):
        width, height = (_length(root.get(side, "")) for side in ("width", "height"))
        if not width or not height:
            raise _refused(tr("a drawing that states its size, as a view box or width and height"))
        root.set("viewBox", f"0 0 {width} {height}")
    if not _has_room(root.get("viewBox", "")):
        raise _refused(tr("a view box of four numbers, its width and height above zero"))
    kept = _kept(root)
    if kept is None or not any(_name(each) in _SHAPES for each in kept.iter()):
        raise _refused(tr("a drawing of shapes; words are turned into paths before saving"))
    for side in ("width", "height"):  # the page decides how large it is shown
        kept.attrib.pop(side, None)
    ET.register_namespace("", _NS)
    return ET.tostring(kept, encoding="unicode").encode()


def _parsed(content: bytes) -> ET.Element:
    if len(content) > LARGEST:
        raise _refused(tr("a file of at most {largest} kB", largest=LARGEST // 1000))
    try:
        text = content.decode("utf-8-sig")
        if _DECLARED.search(text) or "\0" in text:
            raise _refused(tr("an SVG without a document type; save it as plain SVG"))
        root = ET.fromstring(text)  # noqa: S314  # no document type, so no entities
    except (UnicodeDecodeError, ET.ParseError, ValueError):
        raise _refused(tr("an SVG file in UTF-8, or a PNG")) from None
    if root.tag != f"{_PREFIX}svg":
        raise _refused(tr("an SVG file in UTF-8, or a PNG"))
    return root


def _refused(remedy: str) -> Invalid:
    return Invalid("mark", None, remedy)


def _length(text: str) -> str:
    return text.removesuffix("px") if _NUMBER.fullmatch(text.strip()) else ""


def _has_room(view_box: str) -> bool:
    """Whether a view box has an area: an empty one cannot be placed on page or paper."""
    try:
        _, _, width, height = map(float, view_box.replace(",", " ").split())
    except ValueError:
        return False
    return 0 < width < inf and 0 < height < inf


def _name(element: ET.Element) -> str:
    """The element's name in SVG; empty for one of another namespace."""
    tag = element.tag
    return tag.removeprefix(_PREFIX) if tag.startswith(_PREFIX) else ""


def _kept(element: ET.Element) -> ET.Element | None:
    name = _name(element)
    if name not in _SHAPES | _AROUND:
        return None
    made = ET.Element(element.tag, dict(_attributes(element)))
    if name in {"title", "desc"}:
        made.text = element.text
        return made
    made.extend(filter(lambda each: each is not None, map(_kept, element)))  # type: ignore[arg-type]
    return made


def _attributes(element: ET.Element) -> Iterator[tuple[str, str]]:
    for name, value in element.attrib.items():
        if name in _PAINT | _PLACE and _is_harmless(value):
            yield name, value.strip()
    for rule in element.get("style", "").split(";"):
        name, _, value = rule.partition(":")
        if name.strip() in _PAINT and _is_harmless(value):
            yield name.strip(), value.strip()


def _is_harmless(value: str) -> bool:
    """Whether a value holds only figures, words and paints of the drawing's own."""
    rest = _OWN_PAINT.sub("", value)
    return "url" not in rest.lower() and bool(_HARMLESS.fullmatch(rest))
