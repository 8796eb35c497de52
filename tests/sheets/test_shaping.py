"""Shaping drawn to scale: sound SVG, measures that can be measured, both languages."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from forecast.demo_bakery import formulas, kitchen, pantry
from smallhours.bakery.formula.scaling import scale_by_dough_mass
from smallhours.sheets.shaping import Drawn, shaping_drawings

SVG = "{http://www.w3.org/2000/svg}"


def _drawn(slug: str, lang: str = "en") -> dict[str, Drawn]:
    formula = formulas()[slug]
    scaled = scale_by_dough_mass(formula, pantry(), 10_000.0)
    return {one.title: one for one in shaping_drawings(formula, scaled, kitchen(), lang)}


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("slug", sorted(formulas()))
def test_every_drawing_is_sound(slug: str, lang: str) -> None:
    """Behaviour: well-formed, named for those who cannot see it, nothing inline that a page would refuse."""
    for drawn in _drawn(slug, lang).values():
        root = ET.fromstring(drawn.svg)
        assert root.find(f"{SVG}title").text == drawn.title
        assert root.find(f"{SVG}desc").text == " ".join(drawn.told)
        assert "style=" not in drawn.svg
        assert "nan" not in drawn.svg.lower()


def test_sheet_and_bar_are_of_one_scale() -> None:
    """Hand: the sheet is 406.4 mm wide and the bar 100 mm long: their lengths on paper stand as 4.064 to 1."""
    root = ET.fromstring(_drawn("harbour-bun")["The sheet"].svg)
    wide = float(next(e for e in root.iter(f"{SVG}rect")).get("width"))
    high = float(next(e for e in root.iter(f"{SVG}rect")).get("height"))
    bar = [e for e in root.iter(f"{SVG}line") if e.get("y1") == e.get("y2")][-1]
    long = float(bar.get("x2")) - float(bar.get("x1"))
    assert wide / long == pytest.approx(4.064, rel=0.005)
    assert wide / high == pytest.approx(406.4 / 304.8, rel=0.005)


def test_the_log_is_cut_where_its_slices_end() -> None:
    """Hand: eight slices of 2 in on a log of 16 in: seven cuts, evenly apart; the eighth is the log's own end."""
    root = ET.fromstring(_drawn("harbour-bun")["The log"].svg)
    cuts = [float(e.get("x1")) for e in root.iter(f"{SVG}line") if "rb-due" in e.get("class", "")]
    assert len(cuts) == 7
    steps = {round(b - a, 1) for a, b in pairwise(cuts)}
    assert max(steps) - min(steps) <= 0.11


def test_the_spiral_ends_on_the_rim() -> None:
    """Hand: the seam winds out to the log's own radius."""
    drawn = _drawn("harbour-bun")["Its end"]
    root = ET.fromstring(drawn.svg)
    rim = next(e for e in root.iter(f"{SVG}ellipse"))
    middle, radius = (float(rim.get("cx")), float(rim.get("cy"))), float(rim.get("rx"))
    path = next(e for e in root.iter(f"{SVG}path")).get("d")
    x, y = (float(n) for n in re.findall(r"-?[\d.]+", path)[-2:])
    assert ((x - middle[0]) ** 2 + (y - middle[1]) ** 2) ** 0.5 == pytest.approx(radius, rel=0.01)


def test_eight_slices_before_and_after() -> None:
    """Behaviour: eight in the pan, eight dashed outlines of what the proof makes of them."""
    root = ET.fromstring(_drawn("harbour-bun")["The pan from above"].svg)
    ovals = list(root.iter(f"{SVG}ellipse"))
    assert len(ovals) == 16
    assert len([e for e in ovals if e.get("stroke-dasharray")]) == 8


def test_what_cannot_be_drawn_is_left_out() -> None:
    """Behaviour: a dough that others share has neither piece nor pan; names are escaped."""
    assert _drawn("egg-dough") == {}
    formula = formulas()["harbour-bun"].model_copy(update={"id": "a", "name": "<script>"})
    scaled = scale_by_dough_mass(formula, pantry(), 10_000.0)
    named = kitchen().model_copy(
        update={"pans": tuple(pan.model_copy(update={"name": "<b>&"}) for pan in kitchen().pans)}
    )
    for drawn in shaping_drawings(formula, scaled, named):
        assert "<b>" not in drawn.svg
        ET.fromstring(drawn.svg)
