"""Parts of forms: help where it is needed."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import template
from django.utils.html import format_html_join
from django.utils.safestring import SafeString, mark_safe

from smallhours.bakery.kitchen.document import DAYS
from smallhours.web.tour import step_on

register = template.Library()

PICTURES = frozenset({"waves", "course", "places", "hours", "standing"})
"""Subjects of help that have a drawing."""


@register.inclusion_tag("parts/help.html", takes_context=True)
def help_on(context: Any, subject: str) -> dict[str, Any]:
    """A question mark that opens a short explanation in the trade's words."""
    say = context["speech"].say
    return {
        "title": say("help.about", subject=say(f"help.{subject}-title")),
        "text": say(f"help.{subject}"),
        "picture": f"smallhours/help/{subject}.svg" if subject in PICTURES else "",
        "alt": say(f"help.{subject}-picture") if subject in PICTURES else "",
    }


@register.filter
def signed(number: int) -> str:
    """A difference with its sign."""
    return f"+{number}" if number > 0 else f"\u2212{-number}" if number < 0 else "0"


@register.simple_tag(takes_context=True)
def product_options(context: Any, chosen: str) -> SafeString:
    """The products of a list with one of them chosen; also one that is no longer there. Written once for each choice: a
    long table asks for the same lists again and again."""
    written = context.render_context.setdefault("product_options", {})
    if chosen not in written:
        names = context["product_slugs"]
        listed = [("", ""), *context["products"], *([(chosen, chosen)] if chosen and chosen not in names else [])]
        written[chosen] = format_html_join(
            "",
            '<option value="{}"{}>{}</option>',
            ((slug, mark_safe(" selected") if slug and slug == chosen else "", name) for slug, name in listed),
        )
    return written[chosen]


@register.simple_tag(takes_context=True)
def weekday_short(context: Any, date: dt.date) -> str:
    """A day at the head of a narrow column: "Thu 15"."""
    return f"{context['speech'].say('day-short.' + DAYS[date.weekday()])} {date.day}"


@register.simple_tag(takes_context=True)
def column_name(context: Any, column: Any) -> str:
    """What a column of the order table is called aloud."""
    if isinstance(column, dt.date):
        return context["speech"].day(column, True)
    return context["speech"].say(f"weekday.{DAYS.index(column) + 1}")


@register.simple_tag(takes_context=True)
def effect(context: Any, row: Any) -> str:
    """What a row of a table would do."""
    return context["speech"].say(f"order-table.{row.effect}", before=row.before)


@register.inclusion_tag("tour/bar.html", takes_context=True)
def tour_bar(context: Any) -> dict[str, Any]:
    """The card of the guided look, if this page was opened as part of it."""
    request = getattr(context, "request", None)
    asked = "" if request is None else request.GET.get("tour", "")
    return {"step": step_on(asked, context["speech"]) if asked else None, "speech": context["speech"]}


@register.simple_tag(takes_context=True)
def first_word(context: Any, step: str, name: str, style: str = "") -> str:
    """The label of a field of the first steps; what differs by the kind of formula has a word of its own."""
    key = f"first-{step}.{name.replace('_', '-')}"
    texts = context["speech"].texts
    return texts.get(f"{key}-{style}") or texts[key]
