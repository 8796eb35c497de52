"""The whole night in one picture."""

from __future__ import annotations

from smallhours.planning.plan import Plan
from smallhours.sheets.ribbons import body, ground, legend, staff
from smallhours.sheets.ribbons.clock import TimeScale
from smallhours.sheets.ribbons.ink import FONTS, Ink, element, escaped
from smallhours.sheets.ribbons.lanes import Measures, lay_out
from smallhours.sheets.ribbons.page import AXIS, LABELS, LETTERS, RIGHT, Page, extent
from smallhours.sheets.ribbons.paint import Theme
from smallhours.sheets.ribbons.shape import Hand
from smallhours.sheets.ribbons.strands import Strand, strands_of
from smallhours.sheets.words import speech
from smallhours.sheets.words.speech import zone_of

_AIR = 0.75  # above the words over a ribbon, mm
_THICKEST, _THINNEST = 2.5, 0.9  # mm for a rise of 1
_SMALLEST = 2.3  # letters beside ribbons where lines must move together, mm


def night_svg(
    plan: Plan,
    *,
    lang: str = "en",
    width_mm: float = 277.0,
    height_mm: float | None = None,
    theme: Theme = "light",
) -> str:
    """The night as dough ribbons, as an SVG document.

    ``width_mm``: its width; with ``height_mm`` the lines move together until the picture fits, without it the height
    follows from the number of lines. ``theme``: ``light`` or ``dark`` carry their colours as presentation
    attributes; ``classes`` carries classes only, painted by ``ribbon_css()``, and takes the width of its container.
    There is never a ``style``. Raises NotFound for a language that is not there.
    """
    words, strands = speech(lang), strands_of(plan)
    start, end = extent(plan, strands)
    scale = TimeScale(start, end, LABELS, width_mm - RIGHT, zone_of(plan.timezone))
    top = ground.flag_rows(len({o.due for o in plan.orders})) + AXIS + 3.4
    below = 2 * AXIS + 4.0 + staff.ROW * len(plan.people) + 3.0 + legend.HEIGHT
    letters, thick = _sizes(strands, plan, top, None if height_mm is None else height_mm - below)
    layout = lay_out(strands, plan, top, _measures(letters, thick))
    ink = Ink.for_drawing(theme, plan.night, plan.made_at, lang, width_mm, height_mm)
    page = Page(plan, strands, words, ink, Hand(scale, thick), layout, top, layout.foot + 1.0, letters)
    return _document(page, width_mm, page.foot + below, theme)


def _measures(letters: float, thick: float) -> Measures:
    return Measures(words=letters + _AIR + 0.35, thick=thick)


def _sizes(strands: tuple[Strand, ...], plan: Plan, top: float, foot: float | None) -> tuple[float, float]:
    """Size of the letters and thickness of a rise of 1, so that the lowest line stands at ``foot`` at the latest."""
    if foot is None:
        return LETTERS, _THICKEST
    thick = _THINNEST
    for letters in (LETTERS, 2.6, _SMALLEST):
        none, one = (lay_out(strands, plan, top, _measures(letters, t)).foot for t in (0.0, 1.0))
        thick = (foot - none) / max(0.1, one - none)
        if thick >= _THINNEST * 1.4:
            return letters, min(_THICKEST, thick)
    return _SMALLEST, max(_THINNEST, min(_THICKEST, thick))


def _document(page: Page, width: float, height: float, theme: Theme) -> str:
    ink, say = page.ink, page.speech.say
    ink.defs += legend.patterns(ink)
    people_top = page.foot + 2 * AXIS + 4.0
    parts = [
        *ground.ovens(page), *ground.hours(page), *ground.lanes(page), *ground.days(page), *ground.dues(page),
        element("g", {"aria-hidden": "true"}, *body.passes(page)),
        *(body.ribbon(page, strand) for strand in page.strands),
        *ground.oven_words(page),
        *(words for strand in page.strands for words in body.words(page, strand)),
        *staff.people(page, people_top),
        *legend.legend(page, people_top + staff.ROW * len(page.plan.people) + 3.0),
    ]  # fmt: skip
    told = say(
        "ribbon.describe",
        bakery=page.plan.kitchen_name,
        night=page.speech.day(page.plan.night),
        batches=len(page.plan.batches),
        lots=sum(len(batch.lots) for batch in page.plan.batches),
    )
    return document(ink, parts, say("ribbon.title"), told, width, height, theme)


def document(ink: Ink, parts: list[str], title: str, told: str, width: float, height: float, theme: Theme) -> str:
    """The finished SVG text: named and described, sized in mm unless a page's own sheet does that."""
    root: dict[str, object] = {"xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {width:.2f} {height:.2f}"}
    root |= {"role": "img", "aria-labelledby": f"{ink.salt}-title {ink.salt}-desc"}
    if theme == "classes":
        root["class"] = "rb"
    else:
        root |= {"width": f"{width:.2f}mm", "height": f"{height:.2f}mm", "font-family": FONTS}
    if theme == "dark":
        parts = [ink.rect("paper", 0.0, 0.0, width, height), *parts]
    return element(
        "svg",
        root,
        element("title", {"id": f"{ink.salt}-title"}, escaped(title)),
        element("desc", {"id": f"{ink.salt}-desc"}, escaped(told)),
        element("defs", {}, *ink.defs),
        *parts,
    )
