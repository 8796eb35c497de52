"""The days ahead on paper: what is fed, soaked, made, loaded and taken out, and until when orders are met."""

from __future__ import annotations

from smallhours.errors import NotFound
from smallhours.planning.days.document import Ahead, AheadDay, Begin, CutOff, StageOf
from smallhours.sheets.frame import Data
from smallhours.sheets.typesetting import PAPERS, Paper, set_pdf
from smallhours.sheets.words import Speech, speech
from smallhours.sheets.words.speech import zone_of

_WORDS = {
    "what": "ahead-sheet.what", "amount": "ahead-sheet.amount", "ready": "ahead-sheet.ready",
    "use": "ahead-sheet.use", "until": "ahead-sheet.until", "empty-day": "ahead-sheet.nothing", "page": "sheet.page",
}  # fmt: skip
_KINDS = {
    "feed": "ahead-sheet.feed", "soak": "ahead-sheet.soak", "mix": "ahead-sheet.mix", "make": "ahead-sheet.make",
    "chill": "ahead-sheet.chill", "take-out": "ahead-sheet.take-out", "soften": "ahead-sheet.soften",
}  # fmt: skip


def ahead_pdf(ahead: Ahead, paper: Paper = "a4", lang: str = "en") -> bytes:
    """The sheet of the days ahead. Raises NotFound for a paper or language that is not there."""
    if paper not in PAPERS:
        raise NotFound(f"the sheets are not made for the paper {paper!r}; they are for: {', '.join(PAPERS)}")
    return set_pdf("ahead", ahead_data(ahead, paper, lang))


def ahead_data(ahead: Ahead, paper: Paper, lang: str) -> Data:
    """The data of the sheet. Raises NotFound for a language that is not there."""
    told = speech(lang)
    made = ahead.made_at.astimezone(zone_of(ahead.timezone))
    return {
        "document-title": f"{told.say('ahead-sheet.title')}, {ahead.kitchen_name}",
        "bakery": ahead.kitchen_name,
        "title": told.say("ahead-sheet.title"),
        "lang": lang,
        "paper": paper,
        "made": told.say("ahead-sheet.made", day=told.day(made.date(), short=True), clock=f"{made:%H:%M}"),
        "local-rules": told.say("sheet.local-rules"),
        "rests-on": told.say("ahead-sheet.rests-on"),
        "days": [_day(ahead, day, told) for day in ahead.days],
        "words": {name: told.texts[key] for name, key in _WORDS.items()} | {"mind": told.say("caution.title")},
    }


def _day(ahead: Ahead, day: AheadDay, told: Speech) -> Data:
    return {
        "title": told.day(day.day),
        "rows": [_row(ahead, begin, told) for begin in day.begin],
        "until": [_until(ahead, off, told) for off in day.cut_offs if off.ordered],
    }


def _row(ahead: Ahead, begin: Begin, told: Speech) -> Data:
    zone = zone_of(ahead.timezone)
    much = told.kilograms(begin.mass_g)
    if begin.pieces is not None:
        much = f"{told.number(begin.pieces)} {told.say('unit.pieces')}"
    use = "" if begin.used_in is None else _stage(begin.used_in, told)
    if begin.used is not None:
        use = f"{use}, {told.clock(begin.used, zone)}"
    return {
        "clock": told.clock(begin.start, zone),
        "how": told.say("ahead-sheet.planned" if begin.planned else "ahead-sheet.latest"),
        "what": f"{told.say(_KINDS[begin.kind])} {begin.what}",
        "amount": much,
        "ready": "" if begin.end is None else told.clock(begin.end, zone),
        "night": told.say("ahead-sheet.for", day=told.day(begin.night, short=True)),
        "use": use,
    }


def _until(ahead: Ahead, off: CutOff, told: Speech) -> Data:
    zone = zone_of(ahead.timezone)
    return {
        "clock": told.clock(off.latest, zone),
        "product": f"{off.name} ({told.number(off.pieces)})",
        "due": told.say("ahead-sheet.due", day=told.day(off.due.astimezone(zone).date(), short=True),
                        clock=told.clock(off.due, zone)),
        "first": _stage(off.first, told),
    }  # fmt: skip


def _stage(stage: StageOf, told: Speech) -> str:
    return told.say("ahead-sheet.stage-of", stage=told.or_own(f"stage.{stage.kind}", stage.name or None), of=stage.of)
