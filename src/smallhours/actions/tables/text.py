"""Bytes of a text file to text, saying which encoding was assumed."""

from __future__ import annotations

import codecs
from dataclasses import dataclass

from smallhours.errors import BadInput

MOST_BYTES = 5_000_000


@dataclass(frozen=True)
class Text:
    """A file's text; ``encoding`` is its name, ``certain`` whether the bytes prove it."""

    text: str
    encoding: str
    certain: bool


def decoded(data: bytes, source: str) -> Text:
    """The text in ``data``: UTF-8 (with or without mark), UTF-16, or else Windows-1252 / Latin-1, which is a guess.

    Raises BadInput for a file that is too large or is not text.
    """
    if len(data) > MOST_BYTES:
        raise BadInput(f"{source}: {len(data) / 1e6:.1f} MB is too large; a table may have {MOST_BYTES / 1e6:.0f} MB")
    if data.startswith(codecs.BOM_UTF8):
        return Text(_strict(data, "utf-8-sig", source), "UTF-8", True)
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return Text(_strict(data, "utf-16", source), "UTF-16", True)
    unmarked = _unmarked_utf16(data)
    if unmarked:
        return Text(_strict(data, unmarked, source), "UTF-16", False)
    if b"\x00" in data:
        raise BadInput(f"{source}: is not a text file; save the table as CSV (UTF-8) or XLSX")
    try:
        return Text(data.decode("utf-8"), "UTF-8", True)
    except UnicodeDecodeError:
        pass
    try:
        return Text(data.decode("cp1252"), "Windows-1252", False)
    except UnicodeDecodeError:
        return Text(data.decode("latin-1"), "Latin-1", False)


def _strict(data: bytes, encoding: str, source: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise BadInput(f"{source}: is marked as {encoding} but byte {error.start} does not fit it") from None


def _unmarked_utf16(data: bytes) -> str | None:
    """Western text in UTF-16 has a zero in every second byte."""
    sample = data[:2000]
    half = len(sample) // 2
    if half < 4:
        return None
    if sample[1::2].count(0) > 0.8 * half and sample[0::2].count(0) == 0:
        return "utf-16-le"
    if sample[0::2].count(0) > 0.8 * half and sample[1::2].count(0) == 0:
        return "utf-16-be"
    return None
