"""The room over a night as a curve: through the hours that were said, over the change of clocks."""

from __future__ import annotations

import datetime as dt
import re
from xml.etree import ElementTree

import pytest

from small_bakery import KITCHEN
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.sheets.room_curve import room_curve_svg

COURSE = 'room_course = [{ at = 04:00:00, temp = "16 °C" }, { at = 16:00:00, temp = "24 °C" }], '


def kitchen(course: str = COURSE) -> Kitchen:
    return Kitchen.read_toml(KITCHEN.replace("temperatures = { ", "temperatures = { " + course), "kitchen")


def points(svg: str) -> list[tuple[float, float]]:
    """The corners of the curve, from its pieces."""
    lines = [one for one in ElementTree.fromstring(svg).iter() if one.get("stroke-width") == "0.5"]
    ends = [tuple(float(one.get(name, "nan")) for name in ("x1", "y1", "x2", "y2")) for one in lines]
    return [(x, y) for x, y, _, _ in ends] + [ends[-1][2:]]  # type: ignore[list-item]


def test_it_goes_through_the_hours_that_were_said() -> None:
    """Hand: 8 K in 12 h. At noon 24 - 4 x 8/12 = 21.33 °C, at 16:00 24 °C, at 04:00 16 °C; scale from 14 to 26 °C over
    24 mm, so y is 3 + 24 x 2/12 = 7 mm at 16:00 and 3 + 24 x 10/12 = 23 mm at 04:00. 24 h over 135 mm."""
    curve = points(room_curve_svg(kitchen(), dt.date(2026, 1, 15), width_mm=150.0))
    assert len(curve) == 97
    assert curve[0] == pytest.approx((12.0, 3 + 24 * (26 - 21.333) / 12), abs=0.01)
    assert curve[16] == pytest.approx((12.0 + 135 * 4 / 24, 7.0), abs=0.01)
    assert curve[64] == pytest.approx((12.0 + 135 * 16 / 24, 23.0), abs=0.01)


def test_a_room_that_stays_the_same_is_flat() -> None:
    """Limit: without hours the curve is a level line in the middle of a scale of at least 6 K."""
    curve = points(room_curve_svg(kitchen(""), dt.date(2026, 1, 15)))
    assert {y for _, y in curve} == {curve[0][1]}
    assert 3 + 24 / 3 < curve[0][1] < 3 + 24 * 2 / 3


@pytest.mark.parametrize(("night", "hours"), [(dt.date(2026, 3, 29), 23), (dt.date(2026, 10, 25), 25)])
def test_nights_in_which_the_clocks_change(night: dt.date, hours: int) -> None:
    """Published: Directive 2000/84/EC: from noon to noon 23 h pass in the last night of March, 25 h in October's."""
    assert len(points(room_curve_svg(kitchen(), night))) == 4 * hours + 1


def test_what_it_says_to_who_cannot_see_it() -> None:
    """Behaviour: coldest and warmest with their hours, in both languages; names are escaped."""
    held = kitchen().model_copy(update={"name": "<b>Corner & Co</b>"})
    svg = room_curve_svg(held, dt.date(2026, 1, 15), theme="classes")
    assert "Coldest 16.0\u00a0°C at 04:00, warmest 24.0\u00a0°C at 16:00." in svg
    assert "&lt;b&gt;Corner &amp; Co" in svg
    assert not re.search(r"\sstyle=", svg)
    assert "16,0\u00a0°C a las 04:00" in room_curve_svg(held, dt.date(2026, 1, 15), lang="es")
