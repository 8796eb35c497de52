"""How words and values are shown, in the page's language; times on the kitchen's clock (``zone`` in the context)."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import template

from smallhours.bakery.kitchen.document import DAYS
from smallhours.planning.plan import PlanTask

register = template.Library()


@register.filter(name="in")
def found_in(key: str, names: Any) -> str:
    """The name of a key, or the key."""
    return names.get(key, key)


@register.filter(name="names")
def all_found_in(keys: Any, names: Any) -> str:
    """The names of keys, each once."""
    return ", ".join(dict.fromkeys(names.get(key, key) for key in keys))


@register.simple_tag(takes_context=True)
def say(context: Any, key: str, **values: object) -> str:
    """A text by its key."""
    return context["speech"].say(key, **values)


@register.simple_tag(takes_context=True)
def word(context: Any, section: str, key: str) -> str:
    """A word of a section, or the key itself, readable."""
    return context["speech"].or_own(f"{section}.{str(key).replace(' ', '-')}", None)


@register.simple_tag(takes_context=True)
def mass(context: Any, mass_g: float, step_g: float | None = None) -> str:
    """A mass in g at a scale's step."""
    return context["speech"].mass(mass_g, step_g)


@register.simple_tag(takes_context=True)
def kilograms(context: Any, mass_g: float) -> str:
    """A mass for talking about."""
    return context["speech"].kilograms(mass_g)


@register.simple_tag(takes_context=True)
def temp(context: Any, temp_c: float, digits: int | None = None) -> str:
    """A temperature; if not said otherwise, with a decimal only where there is one."""
    speech = context["speech"]
    if digits is None:
        digits = 0 if abs(temp_c - round(temp_c)) < 0.05 else 1
    return speech.temp(temp_c, digits)


@register.simple_tag(takes_context=True)
def duration(context: Any, duration_s: float) -> str:
    """A duration."""
    return context["speech"].duration(duration_s)


@register.simple_tag(takes_context=True)
def length(context: Any, length_mm: float) -> str:
    """A length."""
    return context["speech"].length(length_mm)


@register.simple_tag(takes_context=True)
def num(context: Any, value: float, digits: int = 0) -> str:
    """A number with up to so many decimals."""
    return context["speech"].short(value, digits)


@register.simple_tag(takes_context=True)
def fixed(context: Any, value: float, digits: int) -> str:
    """A number with exactly so many decimals, for columns."""
    return context["speech"].number(value, digits)


@register.simple_tag(takes_context=True)
def clock(context: Any, instant: dt.datetime | None) -> str:
    """The time of day; a dash if there is none."""
    speech = context["speech"]
    return speech.say("format.none") if instant is None else speech.clock(instant, context["zone"])


@register.simple_tag(takes_context=True)
def when(context: Any, instant: dt.datetime) -> str:
    """The time of day, with the weekday if it is not the day the night ends on."""
    local = instant.astimezone(context["zone"])
    time = context["speech"].clock(instant, context["zone"])
    if local.date() == context["night"]:
        return time
    return f"{context['speech'].say('day-short.' + DAYS[local.weekday()])} {time}"


@register.simple_tag(takes_context=True)
def day(context: Any, date: dt.date, short: bool = False) -> str:
    """A date with its weekday."""
    if isinstance(date, dt.datetime):
        date = date.astimezone(context["zone"]).date() if "zone" in context else date.date()
    return context["speech"].day(date, short)


@register.simple_tag(takes_context=True)
def work(context: Any, task: PlanTask) -> str:
    """What a task is called: by the baker's own name, or the stage's."""
    own = task.name if task.name and task.name not in (task.kind, task.stage) else None
    return context["speech"].or_own(f"stage.{task.kind}", own)


@register.simple_tag(takes_context=True)
def named(context: Any, english: str, spanish: str) -> str:
    """A name in the page's language."""
    return spanish if context["lang"] == "es" and spanish else english
