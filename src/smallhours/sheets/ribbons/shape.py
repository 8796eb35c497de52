"""The outline of a ribbon: where it rests, and where it passes from one line to another."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from smallhours.sheets.ribbons.clock import TimeScale
from smallhours.sheets.ribbons.strands import Strand

_STEP_MM = 1.5
_STEPS = 24
_THREAD_MM = 0.32

Point = tuple[float, float]


@dataclass(frozen=True)
class Hand:
    """How thick ribbons are drawn: ``thick_mm`` for a dough as it leaves the mixer (rise 1)."""

    scale: TimeScale
    thick_mm: float

    def thickness(self, strand: Strand, at: dt.datetime) -> float:
        """Thickness of a ribbon at an instant, mm: in proportion to its rise."""
        return self.thick_mm * strand.rise(at)

    def top_edge(self, strand: Strand, start: dt.datetime, end: dt.datetime, line: float) -> list[Point]:
        """The upper edge from start to end, over a line at y = ``line``."""
        left, right = self.scale.x(start), self.scale.x(end)
        inner = [point.at for point in strand.points if start < point.at < end]
        count = max(1, int((right - left) / _STEP_MM))
        inner += [start + (end - start) * (i / count) for i in range(1, count)]
        return [(self.scale.x(at), line - self.thickness(strand, at)) for at in sorted({start, *inner, end})]

    def resting(self, strand: Strand, start: dt.datetime, end: dt.datetime, line: float, soft: float = 0.0) -> str:
        """Path of the ribbon on its line; ``soft``: radius of its upper corners, mm."""
        edge = self.top_edge(strand, start, end, line)
        (x0, y0), (x1, y1) = edge[0], edge[-1]
        r = max(0.0, min(soft, (x1 - x0) / 2, line - y0, line - y1))
        middle = [p for p in edge[1:-1] if x0 + r < p[0] < x1 - r]
        path = [
            f"M{number(x0)} {number(line)}V{number(y0 + r)}Q{number(x0)} {number(y0)} {number(x0 + r)} {number(y0)}"
        ]
        path += [f"L{number(x)} {number(y)}" for x, y in middle]
        path.append(
            f"L{number(x1 - r)} {number(y1)}Q{number(x1)} {number(y1)} {number(x1)} {number(y1 + r)}V{number(line)}Z"
        )
        return "".join(path)


def passing(a: Point, a_thick: float, b: Point, b_thick: float) -> str:
    """Path of a ribbon that leaves at a and lands at b, thinning to a thread on its way.

    ``a`` and ``b`` are the middles of its two ends; its width follows the ends' thickness.
    """
    bend = max(1.2, (b[0] - a[0]) * 0.5)
    c, d = (a[0] + bend, a[1]), (b[0] - bend, b[1])
    left, right = [], []
    for i in range(_STEPS + 1):
        u = i / _STEPS
        x, y = (_bezier(u, a[n], c[n], d[n], b[n]) for n in (0, 1))
        dx, dy = (_slope(u, a[n], c[n], d[n], b[n]) for n in (0, 1))
        size = (dx * dx + dy * dy) ** 0.5 or 1.0
        ends = a_thick if u < 0.5 else b_thick
        half = max(_THREAD_MM, ends * abs(2 * u - 1) ** 3) / 2
        left.append((x - dy / size * half, y + dx / size * half))
        right.append((x + dy / size * half, y - dx / size * half))
    return path_of([*left, *reversed(right)])


def thread(a: Point, b: Point) -> str:
    """A single curve from a to b."""
    bend = max(1.0, (b[0] - a[0]) * 0.5)
    return f"M{at(a)}C{at((a[0] + bend, a[1]), (b[0] - bend, b[1]), b)}"


def path_of(points: list[Point]) -> str:
    """A closed path through points."""
    return "M" + "L".join(at(point) for point in points) + "Z"


def at(*points: Point) -> str:
    """Points as a path writes them."""
    return " ".join(f"{number(x)} {number(y)}" for x, y in points)


def _bezier(u: float, a: float, b: float, c: float, d: float) -> float:
    v = 1 - u
    return v * v * v * a + 3 * v * v * u * b + 3 * v * u * u * c + u * u * u * d


def _slope(u: float, a: float, b: float, c: float, d: float) -> float:
    v = 1 - u
    return 3 * v * v * (b - a) + 6 * v * u * (c - b) + 3 * u * u * (d - c)


def number(value: float) -> str:
    """A coordinate to a hundredth of a millimetre."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
