"""People's lines below the doughs: their hours, their pauses, and whose dough is in their hands when."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from smallhours.planning.plan import PlanPerson
from smallhours.sheets.ribbons.ink import fitted, width_of
from smallhours.sheets.ribbons.page import LABELS, LETTERS, SMALL, Page

ROW = 5.2
_BAR = 3.5

Held = tuple[dt.datetime, dt.datetime, str]


def people(page: Page, top: float) -> Iterator[str]:
    """One row for each person from ``top`` down."""
    marks = {strand.of: strand.mark for strand in page.strands}
    batch_marks = {s.parent: s.mark.rstrip("0123456789") for s in page.strands if s.parent}
    held: dict[str, list[Held]] = {}
    for task in page.plan.tasks:
        mark = marks.get(task.lot or task.batch) or batch_marks.get(task.batch, "")
        for hands in task.hands:
            if hands.end <= page.scale.start or hands.start >= page.scale.end:
                continue
            held.setdefault(hands.person, []).append((hands.start, hands.end, mark))
    for number, person in enumerate(page.plan.people):
        foot = top + ROW * (number + 1) - (ROW - _BAR) / 2
        yield from _row(page, person, sorted(held.get(person.id, [])), foot)


def _row(page: Page, person: PlanPerson, held: list[Held], foot: float) -> Iterator[str]:
    ink, scale = page.ink, page.scale
    name = fitted(person.name, LETTERS, LABELS - 3, bold=True)
    yield ink.text("text", 0.0, foot - 0.8, LETTERS, name, font_weight="bold")
    for hours in person.hours:
        left, right = max(scale.left, scale.x(hours.start)), min(scale.right, scale.x(hours.end))
        if right > left and hours.capacity > 0:
            yield ink.rect("presence", left, foot - 1.1, right - left, 1.1)
    for pause in person.breaks:
        left, right = max(scale.left, scale.x(pause.start)), min(scale.right, scale.x(pause.end))
        if right <= left:
            continue
        yield ink.rect("pause", left, foot - _BAR, right - left, _BAR, stroke_width=0.2, rx=0.5)
        words = page.speech.say("ribbon.break")
        if width_of(words, SMALL) < right - left:
            yield ink.text("quiet", (left + right) / 2, foot - 0.9, SMALL, words, text_anchor="middle")
    for start, end, mark in _joined(held):
        left, right = max(scale.left, scale.x(start)), min(scale.right, scale.x(end))
        yield ink.rect("hand", left, foot - _BAR, max(0.35, right - left - 0.15), _BAR, rx=0.4)
        if width_of(mark, SMALL, bold=True) < right - left - 0.5:
            middle = (left + right) / 2
            yield ink.text("hand-text", middle, foot - 0.9, SMALL, mark, font_weight="bold", text_anchor="middle")


def _joined(held: list[Held]) -> list[Held]:
    joined: list[Held] = []
    for start, end, mark in held:
        if joined and joined[-1][2] == mark and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]), mark)
        else:
            joined.append((start, end, mark))
    return joined
