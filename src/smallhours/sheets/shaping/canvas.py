"""A drawing to scale: millimetres of dough, letters of one size at any scale, a bar of a round length below."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from smallhours.sheets.ribbons.ink import FONTS, Ink, element, escaped, width_of
from smallhours.sheets.ribbons.paint import Theme, dressed
from smallhours.sheets.ribbons.shape import number
from smallhours.sheets.words import Speech

PAPER_MM = 120.0  # the width of a drawing on paper; letters and lines are measured on it
LETTERS, THIN, THICK = 4.6, 0.25, 0.5
_BARS_MM = (10.0, 20.0, 50.0, 100.0, 200.0, 500.0)


@dataclass
class Canvas:
    """A drawing of something ``wide`` by ``high`` millimetres; ``left``, ``top``: room for letters, on paper."""

    name: str
    wide: float
    high: float
    words: Speech
    theme: Theme = "classes"
    left: float = 4.0
    top: float = 7.0
    parts: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.scale = (PAPER_MM - self.left - 4.0) / self.wide
        self.ink = Ink.for_drawing(self.theme, self.name, self.wide, self.high, self.words.lang)

    @property
    def foot(self) -> float:
        """Where the thing ends, on paper."""
        return self.top + self.high * self.scale

    def x(self, mm: float) -> float:
        """On paper, from the left edge of the thing."""
        return self.left + mm * self.scale

    def y(self, mm: float) -> float:
        """On paper, from the top edge of the thing."""
        return self.top + mm * self.scale

    def box(self, dress: str, x: float, y: float, wide: float, high: float, **more: object) -> None:
        """A rectangle, in mm of the thing."""
        at: dict[str, object] = {
            "x": self.x(x),
            "y": self.y(y),
            "width": wide * self.scale,
            "height": high * self.scale,
        }
        self.parts.append(element("rect", {**at, **self._paint(dress, more)}))

    def oval(self, dress: str, x: float, y: float, wide: float, high: float, **more: object) -> None:
        """An ellipse about a point, in mm of the thing."""
        half = (wide / 2 * self.scale, high / 2 * self.scale)
        at: dict[str, object] = {"cx": self.x(x), "cy": self.y(y), "rx": half[0], "ry": half[1]}
        self.parts.append(element("ellipse", {**at, **self._paint(dress, more)}))

    def _paint(self, dress: str, more: Mapping[str, object]) -> dict[str, object]:
        named = {key.replace("_", "-"): value for key, value in {"stroke_width": THICK, **more}.items()}
        return {**dressed(dress, self.theme), **named}

    def rule(self, dress: str, x1: float, y1: float, x2: float, y2: float, width: float = THIN, **more: object) -> None:
        """A line between two points of the thing."""
        self.parts.append(self.ink.line(dress, self.x(x1), self.y(y1), self.x(x2), self.y(y2), width, **more))

    def path(self, dress: str, points: list[tuple[float, float]], **more: object) -> None:
        """A line through points of the thing."""
        d = "M" + "L".join(f"{number(self.x(x))} {number(self.y(y))}" for x, y in points)
        self.parts.append(self.ink.path(dress, d, fill="none", **{"stroke_width": THICK, **more}))

    def say(self, x: float, y: float, told: str, anchor: str = "middle", dress: str = "text") -> None:
        """Words at a place on paper."""
        self.parts.append(self.ink.clear_text(dress, x, y, LETTERS, told, text_anchor=anchor))

    def across(self, told: str) -> None:
        """The measure of the thing's width, above it."""
        middle = self.x(self.wide / 2)
        room = width_of(told, LETTERS) / 2 + 1.5
        y = self.top - 2.6
        for begin, end in ((self.x(0), middle - room), (middle + room, self.x(self.wide))):
            if end - begin > 1.0:
                self.parts.append(self.ink.line("line", begin, y, end, y, THIN))
        for x in (self.x(0), self.x(self.wide)):
            self.parts.append(self.ink.line("line", x, y - 1.2, x, y + 1.2, THIN))
        self.say(middle, y + 1.2, told)

    def finished(self, title: str, told: str) -> str:
        """The drawing, with a bar of a round length below it."""
        bar = next((mm for mm in reversed(_BARS_MM) if mm <= self.wide / 2.5), _BARS_MM[0])
        y = self.foot + 7.0
        end = self.x(bar)
        self.parts.append(self.ink.line("line", self.x(0), y, end, y, THICK))
        for x in (self.x(0), end):
            self.parts.append(self.ink.line("line", x, y - 1.2, x, y + 1.2, THICK))
        self.say(end + 2.0, y + 1.2, self.words.length(bar), "start", "quiet")
        high = y + 3.5
        salt = self.ink.salt
        head: dict[str, object] = {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {number(PAPER_MM)} {number(high)}",
            "role": "img",
            "aria-labelledby": f"{salt}-title {salt}-told",
            "font-family": FONTS,
        }
        names = [
            element("title", {"id": f"{salt}-title"}, escaped(title)),
            element("desc", {"id": f"{salt}-told"}, escaped(told)),
        ]
        return element("svg", head, *names, *self.parts)
