"""A drawing in dots: a sound PNG of the size in mm that the drawing has, with its ink in it."""

from __future__ import annotations

import struct
import zlib

import numpy as np
import pytest
from numpy.typing import NDArray

from forecast.demo_bakery import asked
from smallhours.errors import OutOfRange
from smallhours.sheets.ribbons import forecast_svg
from smallhours.sheets.typesetting import set_png

SQUARE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 10" width="20mm" height="10mm">'
    '<rect x="0" y="0" width="10" height="10" fill="#204080"/></svg>'
)


def _dots(png: bytes) -> NDArray[np.uint8]:
    """Rows of dots of a PNG with 8 bits a channel, not interlaced, its chunks' checksums held against their data.

    Source: ISO/IEC 15948:2004, chapters 5 (chunks) and 9 (filters).
    """
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    at, packed, head = 8, b"", b""
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        kind, data = png[at + 4 : at + 8], png[at + 8 : at + 8 + length]
        assert struct.unpack(">I", png[at + 8 + length : at + 12 + length])[0] == zlib.crc32(kind + data)
        head, packed = (data if kind == b"IHDR" else head), packed + (data if kind == b"IDAT" else b"")
        at += 12 + length
    width, height, depth, colour, _, _, interlaced = struct.unpack(">IIBBBBB", head)
    channels = {2: 3, 6: 4}[colour]
    assert (depth, interlaced) == (8, 0)
    rows = np.frombuffer(zlib.decompress(packed), np.uint8).reshape(height, 1 + width * channels)
    made, before = np.zeros((height, width, channels), np.uint8), np.zeros((width, channels), np.uint8)
    for n, row in enumerate(rows):
        before = _unfiltered(int(row[0]), row[1:].reshape(width, channels), before)
        made[n] = before
    return made


def _unfiltered(how: int, row: NDArray[np.uint8], above: NDArray[np.uint8]) -> NDArray[np.uint8]:
    if how == 0:
        return row
    if how == 1:
        return np.cumsum(row, axis=0, dtype=np.uint64).astype(np.uint8)
    if how == 2:
        return row + above
    found = np.zeros_like(row)
    left, corner = np.zeros(row.shape[1], int), np.zeros(row.shape[1], int)
    for x, (dot, up) in enumerate(zip(row.astype(int), above.astype(int), strict=True)):
        if how == 3:
            guess = (left + up) // 2
        else:
            far = np.abs(up - corner), np.abs(left - corner), np.abs(left + up - 2 * corner)
            guess = np.where((far[0] <= far[1]) & (far[0] <= far[2]), left, np.where(far[1] <= far[2], up, corner))
        left, corner = (dot + guess) % 256, up
        found[x] = left
    return found


def test_a_square_comes_out_where_and_as_large_as_it_is_drawn() -> None:
    """Hand: 20 x 10 mm with 2 mm around at 254 dots an inch (10 a mm): 240 x 140 dots, the left half blue."""
    dots = _dots(set_png(SQUARE, ppi=254.0, margin_mm=2.0))
    assert abs(dots.shape[0] - 140) <= 1
    assert abs(dots.shape[1] - 240) <= 1
    assert dots[70, 70, :3].tolist() == [0x20, 0x40, 0x80]
    for y, x in ((70, 170), (5, 70), (70, 5), (135, 70)):
        assert dots[y, x, :3].tolist() == [255, 255, 255]


def test_a_forecast_in_dots_has_its_ribbon_and_its_letters() -> None:
    """Behaviour: not blank: dark letters and the tint of warm dough; the same forecast is the same picture."""
    svg = forecast_svg(asked("milk-loaf").forecast())
    png = set_png(svg, ppi=100.0)
    assert png == set_png(svg, ppi=100.0)
    dots = _dots(png)[..., :3].astype(int)
    assert abs(dots.shape[1] - 186.0 / 25.4 * 100.0) <= 1
    dark = (dots.sum(axis=2) < 240).mean()
    tinted = (dots.max(axis=2) - dots.min(axis=2) > 40).mean()
    assert 0.003 < dark < 0.2
    assert tinted > 0.05


@pytest.mark.parametrize(("ppi", "margin_mm"), [(0.0, 3.0), (float("nan"), 3.0), (1e6, 3.0), (200.0, -1.0)])
def test_a_picture_that_cannot_be_set(ppi: float, margin_mm: float) -> None:
    """Bad input: no dots at all, too many, a margin below nothing."""
    with pytest.raises(OutOfRange):
        set_png(SQUARE, ppi, margin_mm)
