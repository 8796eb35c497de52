"""How warm the room runs over a night, as a small curve: from noon to noon, tinted as the ribbons are."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.forecast.place_temp import room_temp_c
from smallhours.sheets.ribbons.clock import TimeScale
from smallhours.sheets.ribbons.ink import Ink, element, width_of
from smallhours.sheets.ribbons.night import document
from smallhours.sheets.ribbons.paint import Theme, tint
from smallhours.sheets.ribbons.shape import path_of
from smallhours.sheets.words import Speech, speech

_LEFT, _RIGHT, _TOP, _TALL, _LETTERS = 12.0, 3.0, 3.0, 24.0, 2.9
_STEP = dt.timedelta(minutes=15)
_NOON = dt.time(12)
_GRID_C = 2.0  # distance of two lines of the scale
_LEAST_SPAN_C = 6.0  # a room that stays the same is a flat line, not a magnified one


@dataclass(frozen=True)
class _Drawing:
    points: tuple[tuple[dt.datetime, float], ...]
    scale: TimeScale
    low_c: float
    high_c: float
    ink: Ink
    words: Speech

    def y(self, temp_c: float) -> float:
        return _TOP + _TALL * (self.high_c - temp_c) / (self.high_c - self.low_c)

    @property
    def foot(self) -> float:
        return _TOP + _TALL


def room_curve_svg(
    kitchen: Kitchen, night: dt.date, *, lang: str = "en", width_mm: float = 150.0, theme: Theme = "light"
) -> str:
    """The room from noon before the night to noon after it, as an SVG document.

    ``night``: the day the bake is sold. Raises: NotFound for a language there is not.
    """
    zone, words = kitchen.zone(), speech(lang)
    start, end = (instant(night - dt.timedelta(days=days), _NOON, zone) for days in (1, 0))
    steps = round((end - start) / _STEP)
    points = tuple((at := start + n * _STEP, room_temp_c(kitchen, at)) for n in range(steps + 1))
    low, high = min(c for _, c in points), max(c for _, c in points)
    middle, span = (low + high) / 2, max(high - low + 2.0, _LEAST_SPAN_C)
    low_c = _GRID_C * math.floor((middle - span / 2) / _GRID_C)
    high_c = _GRID_C * math.ceil((middle + span / 2) / _GRID_C)
    ink = Ink.for_drawing(theme, kitchen.temperatures, night, lang, width_mm)
    drawing = _Drawing(points, TimeScale(start, end, _LEFT, width_mm - _RIGHT, zone), low_c, high_c, ink, words)
    ink.defs.append(_gradient(drawing))
    title = words.say("room-curve.title", kitchen=kitchen.name)
    told = words.say("room-curve.told", **_extremes(drawing, zone))
    height = drawing.foot + _LETTERS + 3.0
    return document(ink, [*_ground(drawing), *_curve(drawing)], title, told, width_mm, height, theme)


def _extremes(d: _Drawing, zone: dt.tzinfo) -> dict[str, object]:
    """The coldest and the warmest moment, for who cannot see the curve."""
    cold, warm = min(d.points, key=lambda p: p[1]), max(d.points, key=lambda p: p[1])
    return {
        "low": d.words.temp(cold[1], 1),
        "low_at": d.words.clock(cold[0], zone),
        "high": d.words.temp(warm[1], 1),
        "high_at": d.words.clock(warm[0], zone),
    }


def _gradient(d: _Drawing) -> str:
    stops = [
        element("stop", {"offset": round(n / (len(d.points) - 1), 4), "stop-color": tint(temp_c)})
        for n, (_, temp_c) in enumerate(d.points)
        if n % 4 == 0
    ]
    ends: dict[str, object] = {"x1": d.scale.left, "x2": d.scale.right, "y1": 0, "y2": 0}
    return element("linearGradient", {"id": f"{d.ink.salt}-room", "gradientUnits": "userSpaceOnUse", **ends}, *stops)


def _ground(d: _Drawing) -> Iterator[str]:
    """Hours and the scale of temperatures."""
    every = next((n for n in (1, 2, 3, 6) if n * d.scale.mm_per_hour() >= 11.0), 12)
    for tick in d.scale.ticks():
        if int(tick.label[:2]) % every:
            continue
        x = d.scale.x(tick.at)
        yield d.ink.line("faint", x, _TOP, x, d.foot, 0.15)
        if x + width_of(tick.label, _LETTERS) / 2 < d.scale.right + _RIGHT:
            yield d.ink.text("text", x, d.foot + _LETTERS + 1.2, _LETTERS, tick.label, text_anchor="middle")
    step = _GRID_C * max(1, round((d.high_c - d.low_c) / _GRID_C / 4))
    for n in range(int((d.high_c - d.low_c) / step) + 1):
        temp_c = d.low_c + n * step
        yield d.ink.line("faint", d.scale.left, d.y(temp_c), d.scale.right, d.y(temp_c), 0.15)
        yield d.ink.text("quiet", d.scale.left - 1.0, d.y(temp_c) + 1.0, 2.55, d.words.temp(temp_c), text_anchor="end")


def _curve(d: _Drawing) -> Iterator[str]:
    line = [(d.scale.x(at), d.y(temp_c)) for at, temp_c in d.points]
    body = [*line, (line[-1][0], d.foot), (line[0][0], d.foot)]
    yield element("path", {"d": path_of(body), "fill": f"url(#{d.ink.salt}-room)", "stroke": "none"})
    for (x1, y1), (x2, y2) in pairwise(line):
        yield d.ink.line("edge", x1, y1, x2, y2, 0.5, stroke_linecap="round")
