"""How to read the picture: thickness, tint and pattern, each with words and figures."""

from __future__ import annotations

from collections.abc import Iterator

from smallhours.sheets.ribbons.ink import Ink, element, width_of
from smallhours.sheets.ribbons.page import SMALL, Page
from smallhours.sheets.ribbons.paint import dressed, tint

HEIGHT = 13.0
_TEMPS_C = (0.0, 10.0, 20.0, 27.0, 40.0, 65.0, 97.0)


def legend(page: Page, top: float) -> Iterator[str]:
    """The three scales side by side."""
    width = page.scale.right
    yield from _thickness(page, 0.0, top)
    yield from _tints(page, width * 0.25, top, width * 0.28)
    yield from _patterns(page, width * 0.57, top)


def _thickness(page: Page, x: float, top: float) -> Iterator[str]:
    ink, unit = page.ink, page.hand.thick_mm
    yield ink.text("text", x, top + SMALL, SMALL, page.speech.say("ribbon.thickness"), font_weight="bold")
    foot = top + HEIGHT - 3.4
    at = x
    for rise in (1.0, 1.5, 2.0, 2.5):
        tall = unit * rise
        yield ink.path(
            "unknown", f"M{at:.2f} {foot:.2f}v{-tall:.2f}h8v{tall:.2f}z", stroke_width=0.25, stroke_linejoin="round"
        )
        words = page.speech.say("ribbon.times", rise=page.speech.short(rise, 1))
        yield ink.text("text", at + 4, foot + 3, SMALL, words, text_anchor="middle")
        at += 11


def _tints(page: Page, x: float, top: float, width: float) -> Iterator[str]:
    ink = page.ink
    yield ink.text("text", x, top + SMALL, SMALL, page.speech.say("ribbon.tint"), font_weight="bold")
    each = width / len(_TEMPS_C)
    for number, temp_c in enumerate(_TEMPS_C):
        left = x + each * number
        yield ink.rect("edge", left, top + 4.4, each - 0.8, 5.2, fill=tint(temp_c), stroke_width=0.25, rx=0.6)
        words = page.speech.temp(temp_c) if number in (0, len(_TEMPS_C) - 1) else page.speech.number(temp_c)
        yield ink.text("text", left + (each - 0.8) / 2, top + HEIGHT - 0.4, SMALL, words, text_anchor="middle")


def _patterns(page: Page, x: float, top: float) -> Iterator[str]:
    ink = page.ink
    yield ink.text("text", x, top + SMALL, SMALL, page.speech.say("ribbon.pattern"), font_weight="bold")
    names = ("hands", "mixing", "resting", "baking", "cooling")
    each = (page.scale.right - x) / len(names)
    for number, name in enumerate(names):
        left = x + each * number
        yield ink.rect("swatch", left, top + 4.4, each - 1.4, 5.2, stroke_width=0.25, rx=0.6)
        if name != "resting":
            box: dict[str, object] = {"x": left, "y": top + 4.4, "width": each - 1.4, "height": 5.2, "rx": 0.6}
            yield element("rect", {**box, "fill": f"url(#{ink.salt}-{name})"})
        words = page.speech.say(f"ribbon.{name}")
        size = min(SMALL, SMALL * (each - 1.0) / max(0.1, width_of(words, SMALL)))
        yield ink.text("text", left + (each - 1.4) / 2, top + HEIGHT - 0.4, size, words, text_anchor="middle")


def patterns(ink: Ink) -> list[str]:
    """The four patterns, to be put among the definitions."""
    stroke = {**dressed("mark", ink.theme), "stroke-width": "0.28", "fill": "none", "stroke-linecap": "round"}
    dot = dressed("dot", ink.theme)

    def pattern(name: str, width: float, height: float, *inside: str, turn: str = "") -> str:
        box: dict[str, object] = {"id": f"{ink.salt}-{name}", "width": width, "height": height}
        box["patternUnits"] = "userSpaceOnUse"
        if turn:
            box["patternTransform"] = turn
        return element("pattern", box, *inside)

    return [
        pattern("hands", 1.1, 1.1, element("path", {"d": "M0 0V1.1", **stroke}), turn="rotate(40)"),
        pattern("mixing", 1.8, 1.2, element("path", {"d": "M0 .9Q.45 .1 .9 .9T1.8 .9", **stroke})),
        pattern("baking", 0.9, 0.9, element("path", {"d": "M0 0H.9M0 0V.9", **stroke, "stroke-opacity": "0.65"})),
        pattern(
            "cooling", 1.5, 1.5,
            element("circle", {"cx": 0.4, "cy": 0.4, "r": 0.2, **dot}),
            element("circle", {"cx": 1.15, "cy": 1.15, "r": 0.2, **dot}),
        ),
    ]  # fmt: skip
