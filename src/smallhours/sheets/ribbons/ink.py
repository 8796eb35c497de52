"""Writing SVG: elements with escaped text and attributes, in the chosen dress."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from xml.sax.saxutils import escape, quoteattr

from smallhours.sheets.ribbons.paint import Theme, dressed
from smallhours.sheets.ribbons.shape import number
from smallhours.sheets.type import text_width_em

FONTS = "Smallhours Sans, DejaVu Sans, sans-serif"


def clean(text: str) -> str:
    """Text without the control characters that XML does not allow."""
    return "".join(c for c in text if c in "\t\n" or (ord(c) >= 32 and not 0xD800 <= ord(c) <= 0xDFFF))


def escaped(text: str) -> str:
    """Text as the content of an element."""
    return escape(clean(text))


def element(name: str, attributes: dict[str, object], *children: str) -> str:
    """One element; attribute values are escaped here, children must be so already."""
    written = []
    for key, value in attributes.items():
        text = number(value) if isinstance(value, float) else str(value)
        written.append(f" {key}={quoteattr(clean(text))}")
    head = f"<{name}{''.join(written)}"
    return f"{head}>{''.join(children)}</{name}>" if children else f"{head}/>"


@dataclass
class Ink:
    """Makes painted elements. ``salt`` keeps the ids of two drawings on one page apart."""

    theme: Theme
    salt: str = ""
    defs: list[str] = field(default_factory=list)

    @classmethod
    def for_drawing(cls, theme: Theme, *what: object) -> Ink:
        """Ink whose ids follow from what is drawn, so that the same drawing is always the same text."""
        return cls(theme, "rb" + hashlib.sha256(repr(what).encode()).hexdigest()[:8])

    def path(self, dress: str, d: str, **more: object) -> str:
        """A path; ``more`` may say ``fill`` where the dress does not."""
        return element("path", {"d": d, **self._paint(dress, more)})

    def rect(self, dress: str, x: float, y: float, width: float, height: float, **more: object) -> str:
        """A rectangle."""
        box: dict[str, object] = {"x": x, "y": y, "width": max(0.0, width), "height": max(0.0, height)}
        return element("rect", {**box, **self._paint(dress, more)})

    def line(self, dress: str, x1: float, y1: float, x2: float, y2: float, width: float = 0.2, **more: object) -> str:
        """A straight line."""
        ends: dict[str, object] = {"x1": x1, "y1": y1, "x2": x2, "y2": y2, "stroke-width": width}
        return element("line", {**ends, **self._paint(dress, more)})

    def text(self, dress: str, x: float, y: float, size: float, words: str, **more: object) -> str:
        """A text with its baseline at y."""
        at: dict[str, object] = {"x": x, "y": y, "font-size": size}
        return element("text", {**at, **self._paint(dress, more)}, escaped(words))

    def clear_text(self, dress: str, x: float, y: float, size: float, words: str, **more: object) -> str:
        """A text with paper around its letters, to stand on top of lines."""
        halo = {"stroke-width": size * 0.35, "stroke-linejoin": "round", "aria-hidden": "true"}
        return self.text("halo", x, y, size, words, **halo, **more) + self.text(dress, x, y, size, words, **more)

    def marked_text(self, x: float, y: float, size: float, mark: str, name: str) -> str:
        """A bold mark and a name after it, with paper around the letters."""
        bold = element("tspan", {"font-weight": "bold"}, escaped(mark + (" " if name else "")))
        told = bold + escaped(name)
        at: dict[str, object] = {"x": x, "y": y, "font-size": size}
        halo = {"stroke-width": size * 0.35, "stroke-linejoin": "round", "aria-hidden": "true"}
        return element("text", {**at, **self._paint("halo", halo)}, told) + element(
            "text", {**at, **self._paint("text", {})}, told
        )

    def _paint(self, dress: str, more: dict[str, object]) -> dict[str, object]:
        named = {key.rstrip("_").replace("_", "-"): value for key, value in more.items()}
        return {**dressed(dress, self.theme), **named}


def width_of(words: str, size: float, bold: bool = False) -> float:
    """Length of a text set at a size, mm."""
    return text_width_em(words, bold) * size


def fitted(words: str, size: float, room: float, bold: bool = False) -> str:
    """The text, or its beginning with an ellipsis, so that it takes no more than ``room``; empty if nothing fits."""
    if width_of(words, size, bold) <= room:
        return words
    kept = words
    while kept and width_of(kept + "…", size, bold) > room:
        kept = kept[:-1]
    return kept.rstrip() + "…" if len(kept.strip()) >= 3 else ""
