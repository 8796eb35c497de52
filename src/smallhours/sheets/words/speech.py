"""One language: its words by key, its numbers, dates, clock times and durations.

Thousands are parted by a thin space and never by a mark, which a reader of another language could take for the
decimal mark (ISO 80000-1:2022, 7.3.1 to 7.3.2).
"""

from __future__ import annotations

import datetime as dt
import re
import tomllib
import zoneinfo
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from smallhours.errors import NotFound

LANGUAGES = ("en", "es")
GROUP = "\u2009"
_HOLE = re.compile(r"\{(\w+)\}")
_HOLD = "\u00a0"  # keeps a number and its unit on one line


@dataclass(frozen=True)
class Speech:
    """The words of one language. ``texts``: key ("weigh.total") to text with ``{placeholders}``."""

    lang: str
    texts: Mapping[str, str]

    def say(self, key: str, **values: object) -> str:
        """The text of ``key`` with its placeholders filled. Raises NotFound for a key nobody wrote."""
        if key not in self.texts:
            raise NotFound(f"no text {key!r} in the language {self.lang!r} of the sheets")
        return _HOLE.sub(lambda hole: str(values[hole[1]]), self.texts[key])

    def or_own(self, key: str, own: str | None) -> str:
        """``own`` if the baker gave one, else the text of ``key``, else the last word of the key, readable."""
        if own:
            return own
        return self.texts.get(key) or key.rpartition(".")[2].replace("-", " ")

    def number(self, value: float, digits: int = 0) -> str:
        """A number with ``digits`` decimals in this language's writing.

        >>> speech("es").number(12450.5, 1)
        '12\\u2009450,5'
        """
        text = f"{abs(value):.{digits}f}"
        whole, _, rest = text.partition(".")
        groups: list[str] = []
        while len(whole) > 3:
            groups.insert(0, whole[-3:])
            whole = whole[:-3]
        written = GROUP.join([whole, *groups]) + (self.texts["format.decimal"] + rest if rest else "")
        return "\u2212" + written if value < 0 and float(text) != 0 else written

    def short(self, value: float, digits: int) -> str:
        """A number with up to ``digits`` decimals, without trailing zeros."""
        for fewer in range(digits + 1):
            if abs(round(value, fewer) - round(value, digits)) < 10 ** (-digits) / 2:
                return self.number(value, fewer)
        return self.number(value, digits)

    def mass(self, mass_g: float, step_g: float | None = None) -> str:
        """A mass in grams, with the decimals that its scale step shows; without a step whole grams from 10 g on."""
        return f"{self.mass_figure(mass_g, step_g)}{_HOLD}g"

    def mass_figure(self, mass_g: float, step_g: float | None = None) -> str:
        """The figure of a mass in grams without its unit."""
        if step_g is None:
            return self.number(mass_g) if abs(mass_g) >= 10 else self.short(mass_g, 1)
        digits = next((d for d in range(4) if abs(round(step_g, d) - step_g) < 1e-9), 3)
        return self.number(mass_g, digits)

    def kilograms(self, mass_g: float) -> str:
        """A mass of dough for talking about: kg with one decimal from 1 kg on, else whole grams."""
        return f"{self.number(mass_g / 1000, 1)}{_HOLD}kg" if abs(mass_g) >= 999.5 else self.mass(mass_g)

    def temp(self, temp_c: float, digits: int = 0) -> str:
        """A temperature in °C."""
        return f"{self.number(temp_c, digits)}{_HOLD}°C"

    def length(self, length_mm: float) -> str:
        """A length: mm below 10 cm, else cm."""
        if length_mm < 99.5:
            return f"{self.short(length_mm, 1)}{_HOLD}mm"
        return f"{self.short(length_mm / 10, 1)}{_HOLD}cm"

    def duration(self, duration_s: float) -> str:
        """A duration in words a clock can show: "1 h 30 min", "40 s"."""
        if abs(duration_s) < 90:
            return f"{self.number(duration_s)}{_HOLD}{self.say('unit.second')}"
        minutes = round(duration_s / 60)
        hours, rest = divmod(minutes, 60)
        parts = [f"{hours}{_HOLD}{self.say('unit.hour')}"] if hours else []
        if rest or not hours:
            parts.append(f"{rest}{_HOLD}{self.say('unit.minute')}")
        return _HOLD.join(parts)

    def clock(self, instant: dt.datetime, zone: dt.tzinfo) -> str:
        """The time of day on the kitchen's clock, to the minute, 24 hours."""
        return f"{instant.astimezone(zone):%H:%M}"

    def day(self, day: dt.date, short: bool = False) -> str:
        """A date with its weekday."""
        return self.say(
            "format.day-short" if short else "format.day",
            weekday=self.say(f"weekday.{day.isoweekday()}"),
            number=day.day,
            month=self.say(f"month.{day.month}"),
            year=day.year,
        )

    def listed(self, things: Iterable[str]) -> str:
        """Things in a row with this language's "and" before the last."""
        items = list(things)
        if len(items) < 2:
            return "".join(items)
        return ", ".join(items[:-1]) + self.texts["format.list-last"] + items[-1]


@cache
def speech(lang: str) -> Speech:
    """The words of a language ("en", "es"). Raises NotFound for one that is not there."""
    if lang not in LANGUAGES:
        raise NotFound(f"the sheets have no language {lang!r}; they have: {', '.join(LANGUAGES)}")
    tables = tomllib.loads(files(__package__).joinpath(f"{lang}.toml").read_text("utf-8"))
    texts = {f"{section}.{key}": text for section, table in tables.items() for key, text in table.items()}
    return Speech(lang, texts)


def zone_of(timezone: str) -> zoneinfo.ZoneInfo:
    """The zone of a plan or kitchen."""
    return zoneinfo.ZoneInfo(timezone)
