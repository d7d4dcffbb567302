"""A firm's mark as PNG, cleaned: its picture and nothing that is written beside it.

ISO/IEC 15948 (PNG): a signature, then chunks of length, name, data and CRC. Kept are the
header, palette, transparency and picture; text, times, profiles and what is unknown go.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator

from webapp.common.errors import Invalid
from webapp.common.text.language import tr

LARGEST = 200_000  # bytes
_WIDEST = 1600  # pixels
_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_KEPT = (b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND")
_SAMPLES = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}  # a pixel's, by the colour type


def is_png(content: bytes) -> bool:
    """Whether a file begins as a PNG does."""
    return content.startswith(_SIGNATURE)


def cleaned_png(content: bytes) -> bytes:
    """A PNG of only the chunks that make up its picture.

    Parameters
    ----------
    content : bytes
        As uploaded; it begins as a PNG does.

    Returns
    -------
    bytes

    Raises
    ------
    Invalid
        For a file that is too large, broken, or whose picture is not what its header says.
    """
    if len(content) > LARGEST:
        raise _refused(tr("a file of at most {largest} kB", largest=LARGEST // 1000))
    chunks = [(name, data) for name, data in _chunks(content) if name in _KEPT]
    names = [name for name, _ in chunks]
    if names[:1] != [b"IHDR"] or names[-1:] != [b"IEND"] or b"IDAT" not in names:
        raise _broken()
    if zlib_size(b"".join(data for name, data in chunks if name == b"IDAT")) != _size(chunks[0][1]):
        raise _broken()
    return _SIGNATURE + b"".join(_chunk(name, data) for name, data in chunks)


def size_of(content: bytes) -> tuple[int, int]:
    """Width and height of a cleaned picture [pixels], from its header, which comes first."""
    width, height = struct.unpack(">II", content[16:24])
    return width, height


def _chunks(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = len(_SIGNATURE)
    while at + 12 <= len(content):
        (length,) = struct.unpack(">I", content[at : at + 4])
        name, data = content[at + 4 : at + 8], content[at + 8 : at + 8 + length]
        check = content[at + 8 + length : at + 12 + length]
        if check != struct.pack(">I", zlib.crc32(name + data)):
            raise _broken()
        yield name, data
        if name == b"IEND":
            return
        at += 12 + length
    raise _broken()


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def _size(header: bytes) -> int:
    """Bytes of the picture unpacked, from its header."""
    if len(header) != 13:  # noqa: PLR2004  # as the standard has it
        raise _broken()
    width, height, depth, colour, _, _, interlaced = struct.unpack(">IIBBBBB", header)
    if not (0 < width <= _WIDEST and 0 < height <= _WIDEST):
        raise _refused(tr("at most {widest} pixels wide and high", widest=_WIDEST))
    if colour not in _SAMPLES or depth not in {1, 2, 4, 8, 16}:
        raise _broken()
    if interlaced:
        raise _refused(tr("a PNG that is not interlaced; save it without"))
    return int(height * (1 + (width * depth * _SAMPLES[colour] + 7) // 8))


def zlib_size(packed: bytes) -> int:
    """How much packed bytes unpack to; no more is unpacked than the largest picture has.

    >>> zlib_size(zlib.compress(b"abc"))
    3
    """
    unpacking = zlib.decompressobj()
    try:
        whole = unpacking.decompress(packed, _WIDEST * (8 * _WIDEST + 1))
    except zlib.error:
        raise _broken() from None
    return len(whole)


def _refused(remedy: str) -> Invalid:
    return Invalid("mark", None, remedy)


def _broken() -> Invalid:
    return _refused(tr("a PNG that is whole; this one is broken"))
