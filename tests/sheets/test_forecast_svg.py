"""The forecast of one dough as a picture: well formed, the same each time, in every dress and language."""

from __future__ import annotations

import datetime as dt
import re
import xml.etree.ElementTree as ET

import pytest

from forecast.demo_bakery import asked
from smallhours.sheets.ribbons import THEMES, forecast_svg
from smallhours.sheets.words import LANGUAGES

SVG = "{http://www.w3.org/2000/svg}"
EVENING = dt.datetime(2026, 3, 14, 17, 0, tzinfo=dt.UTC)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("lang", LANGUAGES)
def test_it_is_a_picture_that_says_what_it_shows(theme: str, lang: str) -> None:
    """Behaviour: XML with a title and a description, every id used is there, no script."""
    svg = forecast_svg(asked("milk-loaf").forecast(), lang=lang, theme=theme)  # type: ignore[arg-type]
    root = ET.fromstring(svg)
    assert root.find(f"{SVG}title") is not None
    assert "Milk loaf" in (root.findtext(f"{SVG}title") or "")
    assert len((root.findtext(f"{SVG}desc") or "").split()) > 20
    ids = re.findall(r' id="([^"]+)"', svg)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", svg)) <= set(ids)
    assert "<script" not in svg


def test_the_same_forecast_is_drawn_the_same() -> None:
    """Behaviour: no clock, no chance in a drawing."""
    assert forecast_svg(asked("brioche").forecast()) == forecast_svg(asked("brioche").forecast())


def test_hours_are_clock_times_where_the_start_is_known() -> None:
    """Behaviour: hours after the mixing without a start, the kitchen's clock with one."""
    plain = forecast_svg(asked("milk-loaf").forecast())
    clock = forecast_svg(asked("milk-loaf", start=EVENING).forecast(), zone=dt.timezone(dt.timedelta(hours=1)))
    assert ">2 h<" in plain.replace("\u00a0", " ")
    assert ">20:00<" in clock
    assert ">2 h<" not in clock


def test_the_band_holds_the_ribbon_s_edge() -> None:
    """Limit: everything drawn stays within the picture, also the band's upper edge."""
    svg = forecast_svg(asked("brioche").forecast(), width_mm=160.0)
    box = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert box is not None
    width, height = float(box[1]), float(box[2])
    for path in re.findall(r' d="M([^"]*)Z"', svg):
        for point in path.split("L"):
            x, y = (float(part) for part in point.split())
            assert -0.01 <= x <= width
            assert -0.01 <= y <= height
