"""The ground of the picture: lanes and their names, hours, set temperatures of the ovens, due times."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from smallhours.planning.plan import OvenStretch, Plan
from smallhours.sheets.ribbons.ink import fitted, width_of
from smallhours.sheets.ribbons.lanes import PlacedLane
from smallhours.sheets.ribbons.page import AXIS, LABELS, LETTERS, SMALL, Page

_FLAG = 4.6


def lanes(page: Page) -> Iterator[str]:
    """Each lane's lines and its name in the margin."""
    for placed in page.layout.lanes:
        for number, y in enumerate(placed.lines):
            last = number == len(placed.lines) - 1
            dash = {} if last else {"stroke-dasharray": "0.4 1"}
            yield page.ink.line(
                "line" if last else "faint", 0.0 if last else LABELS, y, page.scale.right, y, 0.18, **dash
            )
        middle = (placed.top + placed.foot) / 2 if len(placed.lines) > 1 else placed.foot - 1.6
        name = fitted(page.lane_name(placed.lane), LETTERS, LABELS - 3, bold=True)
        yield page.ink.text("text", 0.0, middle + 0.4, LETTERS, name, font_weight="bold")


def hours(page: Page) -> Iterator[str]:
    """Local hours above and below, a hairline at each; the night of a clock change says so."""
    every = 1 if page.scale.mm_per_hour() >= 10 else 2 if page.scale.mm_per_hour() >= 5 else 3
    for tick in page.scale.ticks():
        x = page.scale.x(tick.at)
        midnight = tick.label == "00:00"
        yield page.ink.line("line" if midnight else "faint", x, page.top, x, page.foot, 0.35 if midnight else 0.15)
        if tick.change_s:
            words = page.speech.say("ribbon.clocks-back" if tick.change_s < 0 else "ribbon.clocks-forward")
            yield page.ink.clear_text("late-text", x + 0.8, page.foot - 1.2, SMALL, words)
        if int(tick.label[:2]) % every and not tick.change_s:
            continue
        weight = {"font_weight": "bold"} if midnight else {}
        for y in (page.top - 1.5, page.foot + AXIS + 0.6):
            yield page.ink.text("text", x, y, AXIS, tick.label, text_anchor="middle", **weight)


def days(page: Page) -> Iterator[str]:
    """The day's name at the left end and after each midnight, below the hours."""
    y = page.foot + 2 * AXIS + 1.4
    marks = [(page.scale.left, page.scale.start), *((page.scale.x(at), at) for at in page.scale.midnights())]
    for number, (x, at) in enumerate(marks):
        until = marks[number + 1][0] if number + 1 < len(marks) else page.scale.right
        day = page.speech.day(at.astimezone(page.scale.zone).date(), short=True)
        words = fitted(day, SMALL, until - x - 2)
        if words:
            yield page.ink.text("quiet", x + (0.8 if number else 0.0), y, SMALL, words)


def ovens(page: Page) -> Iterator[str]:
    """Each deck's set temperatures: a wedge while it heats or cools, a band while it stands, the figure above."""
    where = {placed.lane.key: placed for placed in page.layout.lanes if placed.lane.role == "ovens"}
    for stretch in page.ovens:
        placed = where.get(stretch.deck)
        if placed is not None:
            yield from _stretch(page, placed, stretch)


def _stretch(page: Page, placed: PlacedLane, stretch: OvenStretch) -> Iterator[str]:
    heat, start, end = (page.scale.x(at) for at in (stretch.heat_from, stretch.start, stretch.end))
    top, foot = placed.top + 0.7, placed.foot
    yield page.ink.path("heat", f"M{heat:.2f} {foot:.2f}L{start:.2f} {top:.2f}V{foot:.2f}Z")
    yield page.ink.rect("heat", start, top, end - start, foot - top)
    yield page.ink.path(
        "heat-edge", f"M{heat:.2f} {foot:.2f}L{start:.2f} {top:.2f}H{end:.2f}", fill="none", stroke_width=0.2
    )


def oven_words(page: Page) -> Iterator[str]:
    """The set temperature at the head of each stretch, and when an oven is switched on."""
    where = {placed.lane.key: placed for placed in page.layout.lanes if placed.lane.role == "ovens"}
    seen = set()
    for stretch in sorted(page.ovens, key=lambda stretch: stretch.start):
        placed = where.get(stretch.deck)
        if placed is None:
            continue
        y = placed.top + 0.7 + SMALL
        yield page.ink.clear_text(
            "text",
            page.scale.x(stretch.start) + 0.4,
            y,
            SMALL,
            page.speech.temp(stretch.set_temp_c),
            font_weight="bold",
        )
        if stretch.deck not in seen and stretch.heat_from < stretch.start:
            words = page.speech.say("ribbon.heat", clock=page.clock(stretch.heat_from))
            x = page.scale.x(stretch.heat_from) - 0.8
            yield page.ink.clear_text("text", x, placed.foot - 0.8, SMALL, words, text_anchor="end")
        seen.add(stretch.deck)


def dues(page: Page) -> Iterator[str]:
    """A mark at each due time, with its flag on the lowest row that is free."""
    pieces: dict[dt.datetime, int] = {}
    for order in page.plan.orders:
        if page.scale.start <= order.due <= page.scale.end:
            pieces[order.due] = pieces.get(order.due, 0) + order.pieces
    for at, row, words in _flags(page, pieces):
        x, y = page.scale.x(at), page.top - AXIS - 3.2 - row * _FLAG
        yield page.ink.line("due", x, y - 2.6, x, page.foot, 0.5, **{"stroke-dasharray": "1.6 0.8"})
        yield page.ink.clear_text("due-text", x - 1.0, y, LETTERS, words, font_weight="bold", text_anchor="end")


def head_height(plan: Plan, start: dt.datetime, end: dt.datetime) -> float:
    """Height of the flags and hours above the lanes, mm."""
    due_times = len({order.due for order in plan.orders if start <= order.due <= end})
    return _FLAG * min(3, due_times) + AXIS + 3.4


def _flags(page: Page, pieces: dict[dt.datetime, int]) -> Iterator[tuple[dt.datetime, int, str]]:
    ends: list[float] = []
    for at in sorted(pieces):
        count = page.speech.say("ribbon.due-pieces", pieces=page.speech.number(pieces[at]))
        words = page.speech.say("ribbon.due", clock=page.clock(at)) + f" · {count}"
        x = page.scale.x(at)
        left = x - width_of(words, LETTERS, bold=True) - 2
        row = next((i for i, end in enumerate(ends) if end <= left), len(ends))
        row = min(row, 2)
        if row == len(ends):
            ends.append(x)
        ends[row] = x
        yield at, row, words
