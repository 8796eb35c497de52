"""Draw the pictures of the model pages from the science itself: ``python docs/models/make_pictures.py``."""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from smallhours.reference.defaults import cardinal_temperatures, heat_transfer_w_per_m2_k
from smallhours.reference.fermentation import cold_curve
from smallhours.science.fermentation import activity_ratio
from smallhours.science.shapes import rolled_turns_count
from smallhours.science.warming import Stay, mean_temp_c, time_constant_s
from smallhours.science.yeast_activity import activity_fractions

HERE = Path(__file__).resolve().parent
WIDTH, HEIGHT = 640, 320
LEFT, RIGHT, TOP, BOTTOM = 64, 150, 20, 50
INK, GRID = "#3a3128", "#d9d0c3"
LINES = (("#8a3b12", ""), ("#1f5f8b", "8 4"), ("#4d6b1f", "2 4"))
Point = tuple[float, float]


@dataclass(frozen=True)
class Axis:
    """From ``low`` to ``high`` with a mark every ``step``."""

    name: str
    low: float
    high: float
    step: float

    def share(self, value: float) -> float:
        """Where a value lies between the ends, 0 to 1."""
        return (value - self.low) / (self.high - self.low)

    def marks(self) -> list[float]:
        """The values that are marked."""
        return [self.low + n * self.step for n in range(round((self.high - self.low) / self.step) + 1)]


def pictures() -> dict[str, str]:
    """File name -> SVG, for every picture."""
    return {"activity.svg": activity(), "cooling.svg": cooling(), "log.svg": log_end()}


def activity() -> str:
    """Yeast's speed by temperature, relative to 24 °C."""
    yeast = cardinal_temperatures()
    points = [(t / 2, activity_ratio(t / 2, 24.0, yeast)) for t in range(105)]
    trusted = [point for point in points if point[0] >= 18.0]
    guessed = [point for point in points if point[0] <= 18.0]
    at_reference = float(activity_fractions(24.0, cold_curve()))
    sloped = [(t / 2, float(activity_fractions(t / 2, cold_curve())) / at_reference) for t in range(105)]
    x, y = Axis("dough, °C", 0.0, 52.0, 4.0), Axis("times as fast as at 24 °C", 0.0, 1.6, 0.2)
    return chart(x, y, [("from 18 °C on", trusted), ("below: a guess", guessed), ("with a cold slope", sloped)])


def cooling() -> str:
    """A ball and a slab, in a still fridge and in one with a fan: mean temperature from 24 °C into 4 °C."""
    still, fan = (heat_transfer_w_per_m2_k(f"fridge-{kind}").usual for kind in ("still", "fan"))
    ball = time_constant_s("sphere", 43.0, 1150.0, 2.8, 0.40, still)
    slabs = [time_constant_s("slab", 20.0 / 1.5, 1150.0, 2.8, 0.40, h) for h in (still, fan)]
    names = ("ball of 400 g, still", "slab of 2 cm, still", "slab of 2 cm, fan")

    def course(tau_s: float) -> list[Point]:
        return [(m / 60, mean_temp_c(24.0, [Stay(m * 60.0, 4.0, tau_s)])) for m in range(0, 241, 5)]

    x, y = Axis("hours in the fridge", 0.0, 4.0, 0.5), Axis("mean of the dough, °C", 0.0, 24.0, 4.0)
    return chart(x, y, [(name, course(tau_s)) for name, tau_s in zip(names, (ball, *slabs), strict=True)])


def chart(x: Axis, y: Axis, curves: Sequence[tuple[str, Sequence[Point]]]) -> str:
    """Curves over a grid, each with its name beside its end."""
    wide, high = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM

    def at(point: Point) -> Point:
        return LEFT + wide * x.share(point[0]), TOP + high * (1 - y.share(point[1]))

    parts = []
    for mark in x.marks():
        px, _ = at((mark, y.low))
        parts += [_line((px, TOP), (px, TOP + high), GRID), _text((px, TOP + high + 18), f"{mark:g}", "middle")]
    for mark in y.marks():
        _, py = at((x.low, mark))
        parts += [_line((LEFT, py), (LEFT + wide, py), GRID), _text((LEFT - 8, py + 4), f"{mark:.3g}", "end")]
    parts += [_text((LEFT + wide / 2, HEIGHT - 8), x.name, "middle"), _text((LEFT, TOP - 6), y.name, "start")]
    for number, ((name, points), (colour, dash)) in enumerate(zip(curves, LINES, strict=False)):
        parts.append(_path([at(point) for point in points], colour, dash))
        key = (LEFT + wide + 12, TOP + 16 + 22 * number)
        parts += [_path([key, (key[0] + 24, key[1])], colour, dash), _text((key[0], key[1] + 14), name, "start", 11)]
    return _svg(WIDTH, HEIGHT, parts)


def log_end() -> str:
    """The end of a log: 400 mm rolled up, 5 mm of dough and 2 mm of filling."""
    turns, scale, middle = rolled_turns_count(400.0, 5.0, 2.0), 4.0, 140.0

    def spiral(offset_mm: float) -> list[Point]:
        angles = [2 * math.pi * step / 36 for step in range(round(turns * 36) + 1)]
        radii = [scale * (7.0 * angle / (2 * math.pi) + offset_mm) for angle in angles]
        return [(middle + r * math.cos(a), middle + r * math.sin(a)) for r, a in zip(radii, angles, strict=True)]

    dough = _path(spiral(3.5), "#c79a5b", "", 4.8 * scale)
    filling = _path(spiral(0.0), "#6b3a1c", "", 1.8 * scale)
    parts = [dough, filling]
    told = f"400 mm of sheet, 5 mm dough and 2 mm filling: {turns:.1f} turns, {turns * 14:.0f} mm"
    return _svg(280, 300, [*parts, _text((140, 292), told, "middle", 9)])


def _svg(width: int, height: int, parts: Sequence[str]) -> str:
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" font-family="sans-serif">'
    ground = f'<rect width="{width}" height="{height}" fill="#fbf8f2"/>'
    return "\n".join([head, ground, *parts, "</svg>"]) + "\n"


def _line(a: Point, b: Point, colour: str) -> str:
    return f'<path d="M{a[0]:.1f} {a[1]:.1f}L{b[0]:.1f} {b[1]:.1f}" stroke="{colour}"/>'


def _path(points: Sequence[Point], colour: str, dash: str, width: float = 2.5) -> str:
    way = "L".join(f"{px:.1f} {py:.1f}" for px, py in points)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<path d="M{way}" fill="none" stroke="{colour}" stroke-width="{width:.2g}"{dashed}/>'


def _text(at: Point, text: str, anchor: str, size: int = 12) -> str:
    return f'<text x="{at[0]:.1f}" y="{at[1]:.1f}" text-anchor="{anchor}" font-size="{size}" fill="{INK}">{text}</text>'


def main() -> None:
    """Write every picture."""
    for name, text in pictures().items():
        (HERE / name).write_text(text, encoding="utf-8", newline="\n")
        sys.stdout.write(f"{name}\n")


if __name__ == "__main__":
    main()
