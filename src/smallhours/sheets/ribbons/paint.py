"""Colours, tints and patterns of the ribbons, in three dresses: light, dark, or classes for a page's own sheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

Theme = Literal["light", "dark", "classes"]
THEMES: tuple[Theme, ...] = ("light", "dark", "classes")

# our own palette; the contrast of ink, quiet, due and late on paper is 7:1 or more, of line 3:1 or more (tested)
COLOURS: Mapping[str, Mapping[str, str]] = {
    "light": {
        "paper": "#FBFAF7", "ink": "#1C1B19", "quiet": "#4A4844", "line": "#8A867E", "faint": "#DDD8CE",
        "edge": "#5B4A3A", "due": "#1F4E79", "late": "#7A1710", "heat": "#F4DFD3", "hand": "#1C1B19",
        "unknown": "#E6E2DA", "presence": "#E3DED3", "stroke": "#3A2C20",
    },
    "dark": {
        "paper": "#1B1A18", "ink": "#F2EFE9", "quiet": "#C9C4BA", "line": "#8A857C", "faint": "#3A3833",
        "edge": "#D9CFC0", "due": "#9CC8F0", "late": "#FFB4AB", "heat": "#4A2E22", "hand": "#F2EFE9",
        "unknown": "#A8A297", "presence": "#3F3C37", "stroke": "#3A2C20",
    },
}  # fmt: skip

# dough temperature to tint: every step warmer is darker, so that it also reads in grey and to any eye
TINTS: tuple[tuple[float, tuple[int, int, int]], ...] = (
    (-18.0, (238, 244, 250)),
    (0.0, (222, 236, 246)),
    (10.0, (229, 229, 208)),
    (20.0, (242, 214, 150)),
    (27.0, (235, 182, 96)),
    (40.0, (214, 139, 62)),
    (65.0, (178, 98, 48)),
    (97.0, (120, 56, 30)),
)

# what each name paints: SVG property -> colour
DRESS: Mapping[str, Mapping[str, str]] = {
    "text": {"fill": "ink"},
    "quiet": {"fill": "quiet"},
    "due-text": {"fill": "due"},
    "late-text": {"fill": "late"},
    "halo": {"fill": "paper", "stroke": "paper"},
    "line": {"stroke": "line"},
    "faint": {"stroke": "faint"},
    "due": {"stroke": "due"},
    "late": {"stroke": "late"},
    "heat": {"fill": "heat"},
    "heat-edge": {"stroke": "line"},
    "edge": {"stroke": "edge"},
    "unknown": {"fill": "unknown", "stroke": "edge"},
    "paper": {"fill": "paper"},
    "hand": {"fill": "hand"},
    "hand-text": {"fill": "paper"},
    "presence": {"fill": "presence"},
    "mark": {"stroke": "stroke"},
    "dot": {"fill": "stroke"},
    "swatch": {"fill": "unknown", "stroke": "edge"},
    "pause": {"fill": "paper", "stroke": "quiet"},
}


def tint(temp_c: float) -> str:
    """The tint of a dough at a temperature, as a hex colour.

    >>> tint(0.0)
    '#deecf6'
    """
    low = TINTS[0]
    for high in TINTS:
        if temp_c <= high[0]:
            span = high[0] - low[0]
            share = 1.0 if span == 0 else max(0.0, (temp_c - low[0]) / span)
            rgb = [round(a + share * (b - a)) for a, b in zip(low[1], high[1], strict=True)]
            return "#" + "".join(f"{c:02x}" for c in rgb)
        low = high
    return "#" + "".join(f"{c:02x}" for c in TINTS[-1][1])


def dressed(name: str, theme: Theme) -> dict[str, str]:
    """The attributes that paint ``name``: colours, or a class under the theme ``classes``."""
    if theme == "classes":
        return {"class": f"rb-{name}"}
    return {what: COLOURS[theme][colour] for what, colour in DRESS[name].items()}


def ribbon_css() -> str:
    """The rules that paint ribbons drawn with the theme ``classes``, for light and dark pages.

    A page that lets people choose sets ``data-theme="light"`` or ``"dark"`` on its root element.
    """

    def tokens(theme: str) -> str:
        return "".join(f"--rb-{name}:{value};" for name, value in COLOURS[theme].items())

    rules = [f":root{{{tokens('light')}}}"]
    rules.append(f"@media (prefers-color-scheme:dark){{:root:not([data-theme=light]){{{tokens('dark')}}}}}")
    rules.append(f":root[data-theme=dark]{{{tokens('dark')}}}")
    for name, paints in DRESS.items():
        rules.append(f".rb-{name}{{" + "".join(f"{what}:var(--rb-{colour});" for what, colour in paints.items()) + "}")
    return "\n".join(rules) + "\n"
