"""The whole night in one picture."""

from __future__ import annotations

import datetime as dt

from smallhours.planning.plan import Plan
from smallhours.sheets.ribbons import body, ground, legend, staff
from smallhours.sheets.ribbons.clock import TimeScale
from smallhours.sheets.ribbons.ink import FONTS, Ink, element, escaped
from smallhours.sheets.ribbons.lanes import Measures, Packing, lay_out, pack
from smallhours.sheets.ribbons.page import AXIS, LABELS, LETTERS, RIGHT, Page, extent, ovens_between
from smallhours.sheets.ribbons.paint import Theme
from smallhours.sheets.ribbons.shape import Hand
from smallhours.sheets.ribbons.strands import strands_of, within
from smallhours.sheets.words import speech
from smallhours.sheets.words.speech import zone_of

Window = tuple[dt.datetime, dt.datetime]

_THICKEST = 2.5  # mm for a rise of 1, where there is room
_THICKS = tuple(round(3.4 - 0.1 * i, 1) for i in range(25))  # what is tried where the height is given
# size of the letters beside ribbons (mm), and whether they stand inside thick ones, as height gets scarce
_TRIES = ((LETTERS, False), (2.6, False), (2.6, True), (2.3, True))


def night_svg(
    plan: Plan,
    *,
    lang: str = "en",
    width_mm: float = 277.0,
    height_mm: float | None = None,
    theme: Theme = "light",
    window: Window | None = None,
    key: bool = True,
) -> str:
    """The night as dough ribbons, as an SVG document.

    ``width_mm``: its width; with ``height_mm`` the lines move together until the picture fits, without it the height
    follows from the number of lines. ``theme``: ``light`` or ``dark`` carry their colours as presentation
    attributes; ``classes`` carries classes only, painted by ``ribbon_css()``, and takes the width of its container.
    There is never a ``style``. ``window``: (start, end) of the time to show, the whole night without it.
    ``key``: with the lines that say how to read it. Raises NotFound for a language that is not there.
    """
    words, whole = speech(lang), strands_of(plan)
    start, end = window or extent(plan, whole)
    strands = within(whole, start, end)
    scale = TimeScale(start, end, LABELS, width_mm - RIGHT, zone_of(plan.timezone))
    packing = pack(strands, plan, ovens_between(plan, start, end))
    top = ground.head_height(plan, start, end)
    measures, _ = measures_for(packing, top, None if height_mm is None else height_mm - below(plan, key))
    layout = lay_out(packing, top, measures)
    ink = Ink.for_drawing(theme, plan.night, plan.made_at, lang, width_mm, height_mm, window)
    page = Page(plan, strands, words, ink, Hand(scale, measures.thick), layout, top, layout.foot + 1.0, measures)
    return _document(page, width_mm, page.foot + below(plan, key), theme, key)


def measures_for(packing: Packing, top: float, foot: float | None) -> tuple[Measures, bool]:
    """The largest measures with which everything stands between ``top`` and ``foot``, and whether it does at all."""
    if foot is None:
        return Measures(LETTERS, _THICKEST), True
    for letters, inside in _TRIES:
        for thick in _THICKS:
            measures = Measures(letters, thick, inside)
            if lay_out(packing, top, measures).foot + 1.0 <= foot:
                return measures, True
    return Measures(_TRIES[-1][0], _THICKS[-1], True), False


def below(plan: Plan, key: bool) -> float:
    """Height of what stands below the lanes: hours, days, people and the key, mm."""
    return 2 * AXIS + 4.0 + staff.ROW * len(plan.people) + (3.0 + legend.HEIGHT if key else 0.0)


def _document(page: Page, width: float, height: float, theme: Theme, key: bool) -> str:
    ink, say = page.ink, page.speech.say
    ink.defs += legend.patterns(ink)
    people_top = page.foot + 2 * AXIS + 4.0
    clip = _clip(page, width)
    parts = [
        element("g", clip, *ground.ovens(page)),
        *ground.hours(page), *ground.lanes(page), *ground.days(page), *ground.dues(page),
        element("g", {"aria-hidden": "true", **clip}, *body.passes(page)),
        element("g", clip, *(body.ribbon(page, strand) for strand in page.strands)),
        *ground.oven_words(page),
        *(words for strand in page.strands for words in body.words(page, strand)),
        *staff.people(page, people_top),
        *(legend.legend(page, people_top + staff.ROW * len(page.plan.people) + 3.0) if key else ()),
    ]  # fmt: skip
    told = say(
        "ribbon.describe",
        bakery=page.plan.kitchen_name,
        night=page.speech.day(page.plan.night),
        batches=len(page.plan.batches),
        lots=sum(len(batch.lots) for batch in page.plan.batches),
    )
    return document(ink, parts, say("ribbon.title"), told, width, height, theme)


def _clip(page: Page, width: float) -> dict[str, object]:
    """Keeps what reaches beyond the shown time out of the margins."""
    name, left = f"{page.ink.salt}-clip", page.scale.left - 0.3
    box: dict[str, object] = {"x": left, "y": 0.0, "width": width - left, "height": page.foot}
    page.ink.defs.append(element("clipPath", {"id": name}, element("rect", box)))
    return {"clip-path": f"url(#{name})"}


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
