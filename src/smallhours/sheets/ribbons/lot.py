"""One dough's ribbon, small: for the bench sheet and the shift page."""

from __future__ import annotations

from collections.abc import Iterator

from smallhours.errors import NotFound
from smallhours.planning.plan import Plan
from smallhours.sheets.ribbons import body
from smallhours.sheets.ribbons.clock import TimeScale
from smallhours.sheets.ribbons.ink import Ink, fitted, width_of
from smallhours.sheets.ribbons.lanes import Layout, Measures, PlacedLane
from smallhours.sheets.ribbons.legend import patterns
from smallhours.sheets.ribbons.night import document
from smallhours.sheets.ribbons.page import Page
from smallhours.sheets.ribbons.paint import Theme
from smallhours.sheets.ribbons.shape import Hand
from smallhours.sheets.ribbons.strands import Strand, strands_of, within
from smallhours.sheets.words import speech
from smallhours.sheets.words.speech import zone_of

_TALL = 9.0  # room for the thickest place, mm
_WORDS = 4.8
_LETTERS = 3.3


def lot_svg(plan: Plan, of: str, *, lang: str = "en", width_mm: float = 180.0, theme: Theme = "light") -> str:
    """The ribbon of one lot (with its batch before it) or one batch, on a single line, as an SVG document.

    Stage names stand above, clock times below, the temperature at both ends of each stay where there is room.
    Raises NotFound if the plan has no such batch or lot, or does nothing with it.
    """
    words, strands = speech(lang), strands_of(plan)
    by_id = {strand.of: strand for strand in strands}
    if of not in by_id:
        raise NotFound(f"the plan of {plan.night} has no dough {of!r}; it has: {', '.join(sorted(by_id))}")
    shown = [s for s in (by_id.get(by_id[of].parent or ""), by_id[of]) if s is not None]
    worked = [task.start for s in shown for stay in s.stays for task in stay.tasks if task.kind != "weigh"]
    start, end = min(worked, default=shown[0].start), shown[-1].end  # weighing may be hours before: there is no dough
    air = (end - start) * 0.01
    shown = list(within(shown, start, end))
    scale = TimeScale(start - air, end + air, 0.0, width_mm, zone_of(plan.timezone))
    most = max([p.rise for s in shown for p in s.points], default=1.0)
    line, thick = _WORDS + _TALL, _TALL / max(most, 1.5)
    lanes = tuple(PlacedLane(stay.lane, 0.0, (line,), 0.0) for s in shown for stay in s.stays)
    layout = Layout(lanes, {(s.of, n): line for s in shown for n in range(len(s.stays))}, line)
    ink = Ink.for_drawing(theme, plan.night, plan.made_at, lang, width_mm, of)
    page = Page(plan, tuple(shown), words, ink, Hand(scale, thick), layout, 0.0, line, Measures(_LETTERS, thick))
    ink.defs += patterns(ink)
    parts = [
        ink.line("line", 0.0, line, width_mm, line, 0.2),
        *(body.ribbon(page, strand) for strand in shown),
        *(part for strand in shown for part in _named(page, strand, line)),
    ]
    title = page.speech.say(
        "ribbon.describe-lot", name=shown[-1].name, start=page.clock(start), end=page.clock(shown[-1].end)
    )
    told = " ".join(body.told(page, strand) for strand in shown)
    return document(ink, parts, title, told, width_mm, line + 2 * _LETTERS + 2.4, theme)


def _named(page: Page, strand: Strand, line: float) -> Iterator[str]:
    free = -1.0
    for stay in strand.stays:
        for task in stay.tasks:
            left, right = page.scale.x(task.start), page.scale.x(task.end)
            if left < page.scale.left:
                continue
            room = right - left - 0.6
            name = page.speech.or_own(f"stage.{task.kind}", task.name if task.name != task.kind else None)
            edge = min(y for _, y in page.hand.top_edge(strand, task.start, task.end, line))
            told = fitted(name, _LETTERS, room, bold=True)
            if told:
                yield page.ink.clear_text("text", left + 0.3, edge - 0.8, _LETTERS, told, font_weight="bold")
            clock = page.clock(task.start)
            if left >= free and left + width_of(clock, _LETTERS) <= page.scale.right:
                yield page.ink.line("line", left, line, left, line + 1.0, 0.2)
                yield page.ink.text("text", left, line + 1.2 + _LETTERS, _LETTERS, clock)
                free = left + width_of(clock, _LETTERS) + 1.2
                temp_c = strand.temp_c(task.start)
                if temp_c is not None:
                    temp = page.speech.temp(temp_c)
                    yield page.ink.text("quiet", left, line + 1.6 + 2 * _LETTERS, _LETTERS, temp)
                    free = max(free, left + width_of(temp, _LETTERS) + 1.2)
