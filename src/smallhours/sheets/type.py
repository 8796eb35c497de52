"""The shipped fonts: which characters they have and how wide these are.

A sheet must never show an empty box for a letter without being told: characters no shipped font has are replaced
before they are set. Reads the ``cmap`` (formats 4 and 12), ``hmtx`` and ``head`` tables of a TrueType file.
Source of the table layouts: OpenType specification 1.9, "cmap", "hmtx", "hhea", "head".
"""

from __future__ import annotations

import struct
import unicodedata
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

REGULAR, BOLD, STANDBY = "SmallhoursSans-Regular.ttf", "SmallhoursSans-Bold.ttf", "DejaVuSans.ttf"
MISSING = "\u25a1"  # what stands for a character that no shipped font has: a white square
_INVISIBLE = ("Cf", "Cc", "Cs", "Co", "Cn", "Mn", "Me")


@dataclass(frozen=True)
class Face:
    """One font file: glyph number and width (in em) of every character it has."""

    widths: dict[int, float]

    def has(self, character: str) -> bool:
        """Whether the font has a glyph for the character."""
        return ord(character) in self.widths


@cache
def face(name: str) -> Face:
    """A shipped font by file name."""
    data = files("smallhours.sheets").joinpath("fonts", name).read_bytes()
    (count,) = struct.unpack_from(">H", data, 4)
    tables = {}
    for i in range(count):
        tag, _, offset, _ = struct.unpack_from(">4sIII", data, 12 + 16 * i)
        tables[tag] = offset
    (units,) = struct.unpack_from(">H", data, tables[b"head"] + 18)
    (metrics,) = struct.unpack_from(">H", data, tables[b"hhea"] + 34)
    glyphs = _glyphs(data, tables[b"cmap"])

    def width(glyph: int) -> float:
        (advance,) = struct.unpack_from(">H", data, tables[b"hmtx"] + 4 * min(glyph, metrics - 1))
        return float(advance / units)

    return Face({code: width(glyph) for code, glyph in glyphs.items() if glyph})


def _glyphs(data: bytes, cmap: int) -> dict[int, int]:
    (count,) = struct.unpack_from(">H", data, cmap + 2)
    found: dict[int, int] = {}
    for i in range(count):
        platform, _, offset = struct.unpack_from(">HHI", data, cmap + 4 + 8 * i)
        (layout,) = struct.unpack_from(">H", data, cmap + offset)
        if platform in (0, 3) and layout == 4:
            found = _segments(data, cmap + offset) | found
        elif platform in (0, 3) and layout == 12:
            (groups,) = struct.unpack_from(">I", data, cmap + offset + 12)
            for g in range(groups):
                first, last, glyph = struct.unpack_from(">III", data, cmap + offset + 16 + 12 * g)
                found.update({code: glyph + code - first for code in range(first, last + 1)})
    return found


def _segments(data: bytes, at: int) -> dict[int, int]:
    (double,) = struct.unpack_from(">H", data, at + 6)
    found = {}
    for i in range(0, double, 2):
        (last,) = struct.unpack_from(">H", data, at + 14 + i)
        (first,) = struct.unpack_from(">H", data, at + 16 + double + i)
        (delta,) = struct.unpack_from(">H", data, at + 16 + 2 * double + i)
        where = at + 16 + 3 * double + i
        (jump,) = struct.unpack_from(">H", data, where)
        for code in range(first, min(last, 0xFFFE) + 1):
            glyph = code
            if jump:
                (glyph,) = struct.unpack_from(">H", data, where + jump + 2 * (code - first))
                if not glyph:
                    continue
            found[code] = (glyph + delta) & 0xFFFF
    return found


def printable(text: str) -> str:
    """The text as our fonts can set it: NFC, a white square for what they lack, no control characters."""
    kept = []
    for character in unicodedata.normalize("NFC", text):
        if character in "\t\n\r":
            kept.append(" ")
        elif face(REGULAR).has(character) or face(STANDBY).has(character):
            kept.append(character)
        elif unicodedata.category(character) not in _INVISIBLE:
            kept.append(MISSING)
    return "".join(kept)


def text_width_em(text: str, bold: bool = False) -> float:
    """Width of a text in em: the sum of its advances (kerning left out)."""
    first, standby = face(BOLD if bold else REGULAR), face(STANDBY)
    return sum(first.widths.get(ord(c)) or standby.widths.get(ord(c), 0.6) for c in text)
