"""What stands on every sheet: bakery, night, when the plan was made, reference and code, the words of the frame."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from smallhours.sheets.papers import Papers
from smallhours.sheets.reference import qr_svg, reference
from smallhours.sheets.typesetting import Paper
from smallhours.sheets.words import Speech, speech
from smallhours.sheets.words.speech import zone_of

Data = dict[str, Any]


@dataclass(frozen=True)
class Frame:
    """Papers to be printed in a language on a paper size."""

    papers: Papers
    paper: Paper
    lang: str

    @property
    def speech(self) -> Speech:
        """The words of the sheet."""
        return speech(self.lang)

    def clock(self, at: Any) -> str:
        """Time on the kitchen's clock."""
        return self.speech.clock(at, zone_of(self.papers.plan.timezone))

    def document(self, kind: str, pages: Iterable[Data], words: Mapping[str, str]) -> Data:
        """The data of a whole document. ``words``: name in the template to key of the text."""
        plan, say = self.papers.plan, self.speech.say
        night = say("sheet.for-night", day=self.speech.day(plan.night))
        made = plan.made_at.astimezone(zone_of(plan.timezone))
        return {
            "document-title": f"{say('sheet.' + kind)}, {plan.kitchen_name}, {night}",
            "bakery": plan.kitchen_name,
            "lang": self.lang,
            "paper": self.paper,
            "made": say("sheet.made", day=self.speech.day(made.date(), short=True), clock=f"{made:%H:%M}"),
            "local-rules": say("sheet.local-rules"),
            "pages": list(pages),
            "words": {
                "page": self.speech.texts["sheet.page"],
                "empty": say("sheet.empty"),
                "mind": say("caution.title"),
                **{name: say(key) for name, key in words.items()},
            },
        }

    def page(self, kind: str, title: str, mark: str, subtitle: str, *about: str) -> Data:
        """The head of one page. ``about``: what the reference names within the plan."""
        text = reference(self.papers.plan, *about)
        return {
            "kind": self.speech.say(f"sheet.{kind}"),
            "night": self.speech.say("sheet.for-night", day=self.speech.day(self.papers.plan.night)),
            "title": title,
            "mark": mark,
            "subtitle": subtitle,
            "reference": text,
            "qr": qr_svg(text),
            "qr-alt": self.speech.say("sheet.qr", reference=text),
        }

    def figure(self, key: str, value: str, note: str = "", strong: bool = False) -> Data:
        """A box with a label and a large value."""
        return {"label": self.speech.say(key), "value": value, "note": note, "strong": strong}

    def spread(self, low_s: float | None, high_s: float | None) -> str:
        """The interval a length may take, or nothing if it is not known or not worth saying."""
        if low_s is None or high_s is None or high_s - low_s < 120:
            return ""
        low, high = self.speech.duration(low_s), self.speech.duration(high_s)
        return self.speech.say("bench-sheet.window", low=low, high=high)
