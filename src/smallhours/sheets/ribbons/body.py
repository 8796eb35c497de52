"""The ribbons themselves: where they rest, how they pass on, what is done to them, their words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from smallhours.planning.plan import PlanTask
from smallhours.sheets.ribbons.ink import element, escaped, fitted, width_of
from smallhours.sheets.ribbons.page import RIGHT, Page
from smallhours.sheets.ribbons.paint import tint
from smallhours.sheets.ribbons.shape import passing, thread
from smallhours.sheets.ribbons.strands import Stay, Strand

_LIFT = 0.75  # between a ribbon and the words above it, mm
_PATTERN = {"mix": "mixing", "bake": "baking", "cool": "cooling", "pack": "cooling"}


def passes(page: Page) -> Iterator[str]:
    """Every move from one line to another, the divisions of doughs into lots, and parts joining doughs."""
    by_id = {strand.of: strand for strand in page.strands}
    for strand in page.strands:
        for number in range(1, len(strand.stays)):
            yield _pass(page, strand, number - 1, strand, number)
        parent = by_id.get(strand.parent or "")
        if parent is not None:
            yield _pass(page, parent, len(parent.stays) - 1, strand, 0)
    yield from _joining(page, by_id)


def _pass(page: Page, a: Strand, i: int, b: Strand, j: int) -> str:
    leave, land = a.stays[i], b.stays[j]
    y_a, y_b = page.layout.line_of[a.of, i], page.layout.line_of[b.of, j]
    thick_a, thick_b = page.hand.thickness(a, leave.end), page.hand.thickness(b, land.start)
    x_a, x_b = page.scale.x(leave.end), page.scale.x(land.start)
    give = max(0.0, 2.4 - (x_b - x_a)) / 2
    x_a -= min(give, (page.scale.x(leave.end) - page.scale.x(leave.start)) / 2)
    x_b += min(give, (page.scale.x(land.end) - page.scale.x(land.start)) / 2)
    if leave.tasks[-1].kind == "weigh":  # no dough yet: the tubs wait
        return _dotted(page, (x_a, y_a - thick_a / 2), (x_b, y_b - thick_b / 2))
    path = passing((x_a, y_a - thick_a / 2), thick_a, (x_b, y_b - thick_b / 2), thick_b)
    temp_c = a.temp_c(leave.end)
    fill = {} if temp_c is None else {"fill": tint(temp_c)}
    dress = "unknown" if temp_c is None else "edge"
    return page.ink.path(dress, path, stroke_width=0.14, stroke_opacity=0.75, stroke_linejoin="round", **fill)


def _joining(page: Page, by_id: dict[str, Strand]) -> Iterator[str]:
    about = {task.id: (task.lot or task.batch, task) for task in page.plan.tasks}
    feeds = {batch.id: batch.feeds for batch in page.plan.batches}
    drawn = set()
    for link in page.plan.links:
        (a, before), (b, after) = about.get(link.before, ("", None)), about.get(link.after, ("", None))
        if before is None or after is None or a not in feeds or after.batch not in feeds[a] or (a, b) in drawn:
            continue
        if a not in by_id or b not in by_id or link.after_side != "start":
            continue
        drawn.add((a, b))
        strand = by_id[a]
        last, number = strand.stays[-1], _stay_of(by_id[b], after)
        if number is None:
            continue
        y_a, y_b = page.layout.line_of[a, len(strand.stays) - 1], page.layout.line_of[b, number]
        low = page.hand.thickness(strand, last.end) / 2
        yield _dotted(page, (page.scale.x(last.end), y_a - low), (page.scale.x(after.start), y_b - low))


def _dotted(page: Page, a: tuple[float, float], b: tuple[float, float]) -> str:
    return page.ink.path(
        "edge", thread(a, b), fill="none", stroke_width=0.35, stroke_dasharray="0.1 0.9", stroke_linecap="round"
    )


def _stay_of(strand: Strand, task: PlanTask) -> int | None:
    return next((n for n, stay in enumerate(strand.stays) if task in stay.tasks), None)


def ribbon(page: Page, strand: Strand) -> str:
    """One ribbon on all its lines, as a group that says in words what it shows."""
    parts = [element("title", {}, escaped(told(page, strand)))]
    for number, stay in enumerate(strand.stays):
        parts += _stay(page, strand, stay, page.layout.line_of[strand.of, number], number)
    return element("g", {"role": "img", "data-of": strand.of}, *parts)


def _stay(page: Page, strand: Strand, stay: Stay, line: float, number: int) -> Iterator[str]:
    hand, ink = page.hand, page.ink
    outline = hand.resting(strand, stay.start, stay.end, line, soft=0.9)
    if strand.points and stay.tasks[-1].kind != "weigh":
        gradient = f"{ink.salt}-{strand.mark}-{number}"
        ink.defs.append(_gradient(page, strand, stay, gradient))
        yield ink.path("edge", outline, fill=f"url(#{gradient})", stroke_width=0.28, stroke_linejoin="round")
    else:
        yield ink.path("unknown", outline, stroke_width=0.28, stroke_linejoin="round")
    for start, end, pattern in patterned(stay):
        yield element(
            "path", {"d": hand.resting(strand, start, end, line, soft=0.3), "fill": f"url(#{ink.salt}-{pattern})"}
        )


def patterned(stay: Stay) -> Iterator[tuple[dt.datetime, dt.datetime, str]]:
    """The stretches of a stay and what is done in them: hands before all, then mixer, oven and cooling."""
    for task in stay.tasks:
        own = _PATTERN.get(task.kind)
        if own == "mixing" and task.place in ("bench", "hand"):
            own = "hands"
        if own is not None:
            yield task.start, task.end, own
            if own in ("mixing", "baking"):
                continue
        for start, end in merged([(hands.start, hands.end) for hands in task.hands]):
            yield max(start, task.start), min(end, task.end), "hands"


def merged(stretches: list[tuple[dt.datetime, dt.datetime]]) -> list[tuple[dt.datetime, dt.datetime]]:
    """Stretches of time with those that touch or overlap joined."""
    joined: list[tuple[dt.datetime, dt.datetime]] = []
    for start, end in sorted(stretches):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def _gradient(page: Page, strand: Strand, stay: Stay, name: str) -> str:
    inner = [p.at for p in strand.points if stay.start < p.at < stay.end]
    inner = inner[:: max(1, len(inner) // 10)]
    whole = (stay.end - stay.start).total_seconds()
    stops = [
        element("stop", {"offset": round((at - stay.start).total_seconds() / whole, 4), "stop-color": tint(temp)})
        for at in sorted({stay.start, *inner, stay.end})
        if (temp := strand.temp_c(at)) is not None
    ]
    ends: dict[str, object] = {"x1": page.scale.x(stay.start), "x2": page.scale.x(stay.end), "y1": 0, "y2": 0}
    return element("linearGradient", {"id": name, "gradientUnits": "userSpaceOnUse", **ends}, *stops)


def words(page: Page, strand: Strand) -> Iterator[str]:
    """The mark of a ribbon above each of its stays, with name and temperatures where there is room."""
    longest = max(strand.stays, key=lambda stay: stay.end - stay.start)
    for number, stay in enumerate(strand.stays):
        line = page.layout.line_of[strand.of, number]
        left = max(page.scale.left, page.scale.x(stay.start)) + 0.2
        right = min(page.scale.right, page.scale.x(stay.end))
        y = line - _baseline(page, *strand.rises(stay.start, stay.end))
        crowded = stay.lane.role == "racks" and page.measures.inside
        temps = "" if crowded else _temps(page, strand, stay)
        name_room = right - left - width_of(strand.mark + " ", page.letters, bold=True)
        name = fitted(strand.name, page.letters, name_room) if stay is longest or name_room > 30 else ""
        yield page.ink.marked_text(left, y, page.letters, strand.mark, name)
        if temps and width_of(name + "   " + temps, page.letters) <= name_room:
            yield page.ink.clear_text("quiet", right - 0.2, y, page.letters, temps, text_anchor="end")
    if strand.late_s > 0 and strand.end <= page.scale.end:
        yield _late(page, strand)


def _baseline(page: Page, least_rise: float, most_rise: float) -> float:
    """How high above its line the words of a stay stand: inside the ribbon, or above it."""
    if page.measures.holds_words(least_rise):
        return page.hand.thick_mm * least_rise / 2 - page.letters * 0.34
    return page.hand.thick_mm * most_rise + _LIFT


def _late(page: Page, strand: Strand) -> str:
    line = page.layout.line_of[strand.of, len(strand.stays) - 1]
    told = page.speech.say("ribbon.late", late=page.speech.duration(strand.late_s))
    width = width_of(told, page.letters, bold=True)
    end = min(page.scale.x(strand.end) + 0.8 + width, page.scale.right + RIGHT - 0.4)
    y = line + page.letters + 0.4 if end - width < page.scale.x(strand.end) else line - 0.6
    return page.ink.clear_text("late-text", end, y, page.letters, told, font_weight="bold", text_anchor="end")


def _temps(page: Page, strand: Strand, stay: Stay) -> str:
    start, end = strand.temp_c(stay.start), strand.temp_c(stay.end)
    if start is None or end is None or stay.tasks[-1].kind == "weigh":
        return ""
    if abs(start - end) < 1.5:
        return page.speech.temp(end)
    return page.speech.say("ribbon.from-to", start=page.speech.number(start), end=page.speech.temp(end))


def told(page: Page, strand: Strand) -> str:
    """A ribbon in words, for those who cannot see it."""
    steps = []
    for stay in strand.stays:
        for task in stay.tasks:
            temp_c = strand.temp_c(task.end)
            steps.append(
                page.speech.say(
                    "ribbon.step",
                    start=page.clock(task.start),
                    stage=page.speech.or_own(f"stage.{task.kind}", task.name if task.name != task.kind else None),
                    place=page.lane_name(stay.lane),
                    temp=page.speech.say("format.none") if temp_c is None else page.speech.temp(temp_c),
                    rise=page.speech.number(strand.rise(task.end), 1),
                )
            )
    return page.speech.say(
        "ribbon.one",
        mark=strand.mark,
        name=strand.name,
        start=page.clock(strand.start),
        end=page.clock(strand.end),
        steps=" ".join(steps),
    )
