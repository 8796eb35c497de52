"""The forecast of one dough as its ribbon, with the band it should stay in four times out of five.

The ribbon is as thick as the dough is most likely risen and tinted by how warm it then is; the paler band around its
upper edge is where that edge may be. Below it the temperature runs as a line in its own band.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from smallhours.forecast.formula_forecast import FormulaForecast
from smallhours.forecast.stage_forecast import CurvePoint, StageForecast
from smallhours.sheets.ribbons.clock import TimeScale
from smallhours.sheets.ribbons.ink import Ink, element, fitted, width_of
from smallhours.sheets.ribbons.legend import patterns
from smallhours.sheets.ribbons.night import document
from smallhours.sheets.ribbons.paint import Theme, tint
from smallhours.sheets.ribbons.shape import path_of
from smallhours.sheets.words import Speech, speech

_WORDS, _TALL, _COOLER, _GAP = 5.2, 22.0, 16.0, 8.0
_LEFT, _RIGHT, _LETTERS = 11.0, 3.0, 2.9
_TOP_C, _FOOT_C = 40.0, 0.0  # of the strip of temperatures; the oven goes beyond it
_NOWHEN = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)
_PATTERN = {"mix": "mixing", "bake": "baking", "cool": "cooling"}
_HANDS = ("fold", "divide", "sheet", "fill", "roll", "slice", "shape", "pan", "finish")


@dataclass(frozen=True)
class _Drawing:
    made: FormulaForecast
    words: Speech
    ink: Ink
    scale: TimeScale
    line: float
    thick: float

    def x(self, t_s: float) -> float:
        start = self.made.start or _NOWHEN
        return self.scale.x(start + dt.timedelta(seconds=t_s))

    def y_rise(self, rise: float) -> float:
        return self.line - self.thick * rise

    def y_temp(self, temp_c: float) -> float:
        share = (min(max(temp_c, _FOOT_C), _TOP_C) - _FOOT_C) / (_TOP_C - _FOOT_C)
        return self.line + _GAP + _COOLER * (1.0 - share)

    @property
    def stages(self) -> list[StageForecast]:
        return [stage for stage in self.made.stages if stage.end_s > 0 and stage.end_s > stage.start_s]


def forecast_svg(
    made: FormulaForecast,
    *,
    zone: dt.tzinfo = dt.UTC,
    lang: str = "en",
    width_mm: float = 180.0,
    theme: Theme = "light",
) -> str:
    """The ribbon of a forecast dough, from its mixing to the end of its last stage, as an SVG document.

    Hours stand as clock times in ``zone`` if the forecast knows when the mixing begins, else as hours after it.
    Raises: NotFound for a language there is not.
    """
    words, start = speech(lang), made.start or _NOWHEN
    end_s = max(stage.end_s for stage in made.stages)
    scale = TimeScale(start, start + dt.timedelta(seconds=end_s), _LEFT, width_mm - _RIGHT, zone)
    most = max(point.rise.high for point in made.curve)
    ink = Ink.for_drawing(theme, made.formula.id, made.seed, made.members, start, lang, width_mm, made.ready)
    drawing = _Drawing(made, words, ink, scale, _WORDS + _TALL, _TALL / max(most, 1.5))
    ink.defs += [*patterns(ink), _gradient(drawing)]
    parts = [*_ground(drawing), *_ribbon(drawing), *_temperatures(drawing), *_names(drawing)]
    height = drawing.line + _GAP + _COOLER + _LETTERS + 3.0
    title = words.say("ribbon.describe-forecast", name=made.formula.name, length=words.duration(made.ready.median))
    return document(ink, parts, title, _told(drawing), width_mm, height, theme)


def _gradient(d: _Drawing) -> str:
    """The tint along the ribbon."""
    points = d.made.curve[:: max(1, len(d.made.curve) // 48)]
    left, right = d.scale.left, d.scale.right
    stops = [
        element(
            "stop",
            {"offset": round((d.x(p.t_s) - left) / (right - left), 4), "stop-color": tint(p.temp_c.median)},
        )
        for p in points
    ]
    ends: dict[str, object] = {"x1": left, "x2": right, "y1": 0, "y2": 0}
    return element("linearGradient", {"id": f"{d.ink.salt}-warm", "gradientUnits": "userSpaceOnUse", **ends}, *stops)


def _ground(d: _Drawing) -> Iterator[str]:
    """Hours, the line the dough lies on, the scale of temperatures."""
    foot = d.y_temp(_FOOT_C)
    mm_per_hour = d.scale.mm_per_hour()
    every = next((n for n in (1, 2, 3, 6, 12) if n * mm_per_hour >= 11.0), 24)
    for tick in d.scale.ticks():
        hours = round((tick.at - d.scale.start).total_seconds() / 3600)
        if (int(tick.label[:2]) if d.made.start else hours) % every:
            continue
        x = d.scale.x(tick.at)
        label = tick.label if d.made.start else d.words.say("ribbon.after-hours", hours=d.words.number(hours))
        yield d.ink.line("faint", x, _WORDS, x, foot, 0.15)
        if x + width_of(label, _LETTERS) / 2 < d.scale.right + _RIGHT:
            yield d.ink.text("text", x, foot + _LETTERS + 1.2, _LETTERS, label, text_anchor="middle")
    yield d.ink.line("line", d.scale.left, d.line, d.scale.right, d.line, 0.2)
    for temp_c in (0.0, 20.0, 40.0):
        y = d.y_temp(temp_c)
        yield d.ink.line("faint", d.scale.left, y, d.scale.right, y, 0.15)
        yield d.ink.text("quiet", d.scale.left - 1.0, y + 1.0, 2.55, d.words.temp(temp_c), text_anchor="end")


def _ribbon(d: _Drawing) -> Iterator[str]:
    points = d.made.curve
    band = [(d.x(p.t_s), d.y_rise(p.rise.high)) for p in points]
    band += [(d.x(p.t_s), d.y_rise(p.rise.low)) for p in reversed(points)]
    body = [(d.x(p.t_s), d.y_rise(p.rise.median)) for p in points]
    body += [(d.x(points[-1].t_s), d.line), (d.x(points[0].t_s), d.line)]
    yield d.ink.path("edge", path_of(body), fill=f"url(#{d.ink.salt}-warm)", stroke_width=0.28, stroke_linejoin="round")
    for stage in d.stages:
        pattern = "hands" if stage.kind in _HANDS else _PATTERN.get(stage.kind)
        if pattern:
            inside = [p for p in points if stage.start_s <= p.t_s <= stage.end_s]
            if len(inside) > 1:
                yield element("path", {"d": _under(d, inside), "fill": f"url(#{d.ink.salt}-{pattern})"})
    yield d.ink.path("unknown", path_of(band), fill_opacity=0.55, stroke_width=0.2, stroke_dasharray="0.8 0.6")


def _under(d: _Drawing, points: list[CurvePoint]) -> str:
    edge = [(d.x(p.t_s), d.y_rise(p.rise.median)) for p in points]
    return path_of([*edge, (edge[-1][0], d.line), (edge[0][0], d.line)])


def _temperatures(d: _Drawing) -> Iterator[str]:
    """The line of temperatures in its band, up to where the oven takes over."""
    baked_s = next((stage.start_s for stage in d.stages if stage.kind == "bake"), float("inf"))
    points = [p for p in d.made.curve if p.t_s <= baked_s + 1.0]
    band = [(d.x(p.t_s), d.y_temp(p.temp_c.high)) for p in points]
    band += [(d.x(p.t_s), d.y_temp(p.temp_c.low)) for p in reversed(points)]
    yield d.ink.path("unknown", path_of(band), fill_opacity=0.6, stroke_width=0.15)
    line = "M" + "L".join(f"{d.x(p.t_s):.2f} {d.y_temp(p.temp_c.median):.2f}" for p in points)
    yield d.ink.path("edge", line, fill="none", stroke_width=0.4, stroke_linejoin="round")


def _names(d: _Drawing) -> Iterator[str]:
    """The stages' names above the ribbon, where there is room, and a mark where each begins."""
    for stage in d.stages:
        left, right = d.x(max(stage.start_s, 0.0)), d.x(stage.end_s)
        yield d.ink.line("line", left, d.line, left, d.line + 1.0, 0.2)
        name = d.words.or_own(f"stage.{stage.kind}", stage.name if stage.name != stage.kind else None)
        told = fitted(name, _LETTERS, right - left - 0.6, bold=True)
        if told:
            inside = [p.rise.high for p in d.made.curve if stage.start_s <= p.t_s <= stage.end_s] or [1.0]
            y = max(_LETTERS, d.y_rise(max(inside)) - 0.8)
            yield d.ink.clear_text("text", left + 0.3, y, _LETTERS, told, font_weight="bold")


def _told(d: _Drawing) -> str:
    """The picture in words, for those who cannot see it."""
    told = [
        d.words.say(
            "ribbon.forecast-step",
            stage=d.words.or_own(f"stage.{stage.kind}", stage.name if stage.name != stage.kind else None),
            length=d.words.duration(stage.length.median),
            low=d.words.duration(stage.length.low),
            high=d.words.duration(stage.length.high),
            temp=d.words.temp(stage.at_end.mean.median),
            rise=d.words.number(stage.rise.median, 1),
        )
        for stage in d.stages
    ]
    return " ".join(told)
