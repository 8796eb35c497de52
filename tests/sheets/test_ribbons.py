"""The dough ribbons: what their geometry says is what the plan says."""

from __future__ import annotations

import datetime as dt
import re
import xml.etree.ElementTree as ET
import zoneinfo
from itertools import pairwise

import pytest

from sheets.plan_fixture import fixture_plan
from smallhours.errors import NotFound
from smallhours.planning.plan import CoursePoint, Plan
from smallhours.sheets.ribbons import fits, lot_svg, night_svg, ribbon_css, windows
from smallhours.sheets.ribbons.clock import TimeScale
from smallhours.sheets.ribbons.lanes import line_numbers
from smallhours.sheets.ribbons.paint import COLOURS, DRESS, TINTS, tint
from smallhours.sheets.ribbons.shape import Hand, passing
from smallhours.sheets.ribbons.strands import Strand, mark_of, strands_of, within

SVG = "{http://www.w3.org/2000/svg}"
ZERO = dt.datetime(2026, 11, 14, 20, 0, tzinfo=dt.UTC)
HOUR = dt.timedelta(hours=1)


def _dough(*rises: float) -> Strand:
    points = tuple(CoursePoint(at=ZERO + HOUR * n, temp_c=24, rise=rise) for n, rise in enumerate(rises))
    return Strand("d", "A", "Dough", (), points, _times=tuple(point.at for point in points))


def _hand(end: dt.datetime = ZERO + 10 * HOUR) -> Hand:
    return Hand(TimeScale(ZERO, end, 40.0, 240.0, dt.UTC), 2.0)


def test_a_dough_that_doubles_is_twice_as_thick() -> None:
    """Limit: thickness is in proportion to rise: 2 mm at 1, 4 mm at 2, 3 mm half way."""
    hand, dough = _hand(), _dough(1.0, 2.0)
    assert hand.thickness(dough, ZERO) == pytest.approx(2.0)
    assert hand.thickness(dough, ZERO + HOUR) == pytest.approx(4.0)
    assert hand.thickness(dough, ZERO + HOUR / 2) == pytest.approx(3.0)


def test_the_drawn_edge_stands_that_high_over_its_line() -> None:
    """Hand: line at y = 50; the path's highest point is 50 - 2 x 2 mm and its foot lies on 50."""
    path = _hand().resting(_dough(1.0, 2.0, 2.0), ZERO, ZERO + 2 * HOUR, 50.0)
    ys = [float(y) for _, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)]
    assert min(ys) == pytest.approx(46.0)
    assert max(ys) == pytest.approx(50.0)


def test_a_ribbon_without_a_course_is_as_thick_as_a_fresh_dough() -> None:
    """Limit: no course, rise 1."""
    assert _hand().thickness(_dough(), ZERO) == pytest.approx(2.0)


def test_a_passing_ribbon_starts_and_lands_at_its_thickness() -> None:
    """Limit: both ends of the passage have the width of the ribbons they join; its waist is a thread."""
    path = passing((0.0, 10.0), 3.0, (20.0, 60.0), 5.0)
    points = [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)]
    left, right = points[: len(points) // 2], points[len(points) // 2 :][::-1]
    widths = [((a - c) ** 2 + (b - d) ** 2) ** 0.5 for (a, b), (c, d) in zip(left, right, strict=True)]
    assert widths[0] == pytest.approx(3.0, abs=0.02)
    assert widths[-1] == pytest.approx(5.0, abs=0.02)
    assert min(widths) == pytest.approx(0.32, abs=0.02)


@pytest.mark.parametrize(
    ("start", "change_s", "labels"),
    [
        # 25 October 2026, Madrid: at 03:00 back to 02:00; 28 March 2027: at 02:00 on to 03:00 (EU directive 2000/84)
        (dt.datetime(2026, 10, 24, 22, tzinfo=dt.UTC), -3600, ["00:00", "01:00", "02:00", "02:00", "03:00", "04:00"]),
        (dt.datetime(2027, 3, 27, 23, tzinfo=dt.UTC), 3600, ["00:00", "01:00", "03:00", "04:00", "05:00", "06:00"]),
    ],
)
def test_hours_are_equally_long_in_a_night_when_the_clocks_change(
    start: dt.datetime, change_s: float, labels: list[str]
) -> None:
    """Published: the dates of summer time; x stays linear in elapsed time and the labels repeat or skip an hour."""
    scale = TimeScale(start, start + 5 * HOUR, 0.0, 100.0, zoneinfo.ZoneInfo("Europe/Madrid"))
    ticks = scale.ticks()
    assert [tick.label for tick in ticks] == labels
    assert [scale.x(tick.at) for tick in ticks] == pytest.approx([0, 20, 40, 60, 80, 100])
    assert [tick.change_s for tick in ticks if tick.change_s] == [change_s]
    assert scale.at(scale.x(start + 1.5 * HOUR)) == start + 1.5 * HOUR


def test_half_hour_zones_get_their_own_hours() -> None:
    """Hand: Kolkata is UTC+5:30, so its full hours fall on UTC half hours."""
    scale = TimeScale(ZERO, ZERO + 2 * HOUR, 0.0, 100.0, zoneinfo.ZoneInfo("Asia/Kolkata"))
    assert [(tick.label, tick.at.minute) for tick in scale.ticks()] == [("02:00", 30), ("03:00", 30)]


@pytest.mark.parametrize("theme", ["light", "dark", "classes"])
def test_the_night_is_named_described_and_has_a_ribbon_for_each_dough(theme: str) -> None:
    """Behaviour: role, title, description; one group per dough with its own words; no style anywhere (strict CSP)."""
    plan = fixture_plan()
    root = ET.fromstring(night_svg(plan, theme=theme))  # type: ignore[arg-type]
    assert root.get("role") == "img"
    ids = {element.get("id") for element in root.iter()}
    assert set((root.get("aria-labelledby") or "").split()) <= ids
    ribbons = {g.get("data-of"): g for g in root.iter(SVG + "g") if g.get("data-of")}
    assert set(ribbons) == {strand.of for strand in strands_of(plan)}
    for group in ribbons.values():
        title = group.find(SVG + "title")
        assert title is not None
        assert "°C" in (title.text or "") or "–" in (title.text or "")
    assert not list(root.iter(SVG + "style"))
    assert all("style" not in element.attrib for element in root.iter())


def test_every_class_of_a_drawing_has_its_rule() -> None:
    """Behaviour: a page that loads ribbon_css() paints everything, by light and by night."""
    used = set(re.findall(r'class="([^"]+)"', night_svg(fixture_plan(), theme="classes"))) - {"rb"}
    css = ribbon_css()
    assert used <= {f"rb-{name}" for name in DRESS}
    assert all(f".{name}{{" in css for name in used)
    svg = night_svg(fixture_plan(), theme="classes")
    assert not any(colour in svg for colours in COLOURS.values() for colour in colours.values())


def test_every_pattern_and_gradient_that_is_used_is_defined() -> None:
    """Behaviour: no url(#..) points to nothing; two different drawings share no id."""
    plan = fixture_plan()
    night, lot = night_svg(plan), lot_svg(plan, "bun-1-a")
    for svg in (night, lot):
        ids = re.findall(r' id="([^"]+)"', svg)
        assert len(ids) == len(set(ids))
        assert set(re.findall(r"url\(#([^)]+)\)", svg)) <= set(ids)
    assert not set(re.findall(r' id="([^"]+)"', night)) & set(re.findall(r' id="([^"]+)"', lot))


def test_the_same_plan_is_drawn_the_same() -> None:
    """Behaviour: no clock, no chance in a drawing."""
    assert night_svg(fixture_plan(), lang="es") == night_svg(fixture_plan(), lang="es")


def test_stays_on_one_line_never_overlap() -> None:
    """Limit: two doughs lie on one line only one after the other."""
    strands = strands_of(fixture_plan())
    numbers, needed = line_numbers(strands)
    lines: dict[tuple[str, int], list[tuple[dt.datetime, dt.datetime]]] = {}
    for strand in strands:
        for number, stay in enumerate(strand.stays):
            line = numbers[strand.of, number]
            assert line < needed[stay.lane]
            lines.setdefault((stay.lane.key, line), []).append((stay.start, stay.end))
    for stays in lines.values():
        ordered = sorted(stays)
        assert all(a[1] <= b[0] for a, b in pairwise(ordered))


def test_a_given_height_is_kept() -> None:
    """Limit: parted by its windows the night fits 173 mm; each picture says so in its viewBox."""
    plan = fixture_plan()
    shown = windows(plan, 173.0)
    assert shown[0][0] < min(t.start for t in plan.tasks)
    assert shown[-1][1] > max(t.end for t in plan.tasks)
    for window in shown:
        svg = night_svg(plan, height_mm=173.0, window=window, key=False)
        box = re.search(r'viewBox="0 0 277.00 ([\d.]+)"', svg)
        assert box is not None
        assert float(box[1]) <= 173.0


def test_a_small_night_needs_one_picture() -> None:
    """Limit: two doughs fit on a page lying on its side; the whole night of the fixture does not."""
    plan = fixture_plan()
    small = plan.model_copy(
        update={
            "batches": tuple(b for b in plan.batches if b.id in ("bun-1", "milk-1")),
            "tasks": tuple(t for t in plan.tasks if t.batch in ("bun-1", "milk-1")),
        }
    )
    assert fits(small, 173.0)
    assert len(windows(small, 173.0)) == 1
    assert not fits(plan, 173.0)


def test_no_task_falls_between_two_windows() -> None:
    """Limit: every moment in which something begins or ends is on one of the pictures."""
    plan = fixture_plan()
    shown = windows(plan, 173.0)
    for task in plan.tasks:
        assert any(start <= task.start <= end for start, end in shown)
        assert any(start <= task.end <= end for start, end in shown)
    assert {s.of for window in shown for s in within(strands_of(plan), *window)} == {s.of for s in strands_of(plan)}


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_contrast(theme: str) -> None:
    """Published: WCAG 2.2 relative luminance; words 7:1 or more (1.4.6), lines and edges 3:1 or more (1.4.11)."""
    colours = COLOURS[theme]
    for name in ("ink", "quiet", "due", "late"):
        assert _contrast(colours[name], colours["paper"]) >= 7.0, name
    for name in ("line", "edge", "due", "late", "hand"):
        assert _contrast(colours[name], colours["paper"]) >= 3.0, name


def test_warmer_is_darker() -> None:
    """Limit: luminance falls from tint to tint, so that the scale reads without colour too."""
    shades = [_luminance(tint(temp_c)) for temp_c in range(-18, 98)]
    assert all(cold >= warm for cold, warm in pairwise(shades))
    assert tint(-40) == tint(TINTS[0][0])
    assert tint(200) == tint(TINTS[-1][0])


def test_the_contrast_formula() -> None:
    """Published: WCAG 2.2: black on white is 21:1."""
    assert _contrast("#000000", "#FFFFFF") == pytest.approx(21.0)


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def _contrast(a: str, b: str) -> float:
    high, low = sorted((_luminance(a), _luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_marks() -> None:
    """Hand: A .. Z, then two letters."""
    assert [mark_of(n) for n in (0, 25, 26, 27, 51, 52, 701, 702)] == ["A", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA"]


def test_names_cannot_break_the_drawing() -> None:
    """Bad input: markup, quotes, control characters and 200 letters in names."""
    plan = fixture_plan()
    nasty = "<b>&\"'</svg><script>x\x00\x07 " + "long " * 40
    batches = tuple(b.model_copy(update={"name": nasty}) for b in plan.batches)
    resources = tuple(r.model_copy(update={"name": nasty}) for r in plan.resources)
    changed = plan.model_copy(update={"batches": batches, "resources": resources, "kitchen_name": nasty})
    for svg in (night_svg(changed), lot_svg(changed, "bun-1-a")):
        assert "<script" not in svg
        ET.fromstring(svg)


def test_an_empty_night_is_still_a_picture() -> None:
    """Bad input: a plan without tasks."""
    plan = fixture_plan()
    empty: Plan = plan.model_copy(
        update={"tasks": (), "batches": (), "ovens": (), "orders": (), "courses": (), "links": (), "status": "empty"}
    )
    assert ET.fromstring(night_svg(empty)).tag == SVG + "svg"
    assert len(windows(empty, 173.0)) == 1


def test_a_lot_that_is_not_there() -> None:
    """Bad input: the message names what there is."""
    with pytest.raises(NotFound, match="bun-1-a"):
        lot_svg(fixture_plan(), "bread-of-yesterday")


def test_a_small_ribbon_begins_with_the_dough() -> None:
    """Behaviour: weighing hours before is not drawn; the first clock time is that of mixing."""
    svg = lot_svg(fixture_plan(), "bun-1-a")
    times = re.findall(r">(\d\d:\d\d)<", svg)
    assert times[0] == "16:44"
    assert times == sorted(times, key=lambda t: (t < "12:00", t))


def test_late_lots_say_so() -> None:
    """Behaviour: the lot that misses its due time carries the words beside its ribbon."""
    plan = fixture_plan()
    late = [order for order in plan.orders if order.late_s > 0]
    assert late
    assert " late" in night_svg(plan)
    assert " tarde" in night_svg(plan, lang="es")
