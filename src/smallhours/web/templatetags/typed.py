"""Fields of forms: a label, what was typed, and beside it one sentence if it is wrong."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

register = template.Library()
_ENGLISH, _HIDDEN, _CHECKED, _SELECTED = (
    SafeString(f" {text}") for text in ('lang="en"', "hidden", "checked", "selected")
)


def _attributes(form: Any, name: str, more: dict[str, object]) -> SafeString:
    fault = form.faults.get(name, "")
    pairs = {"id": name, "name": name, **{key.replace("_", "-"): value for key, value in more.items()}}
    pairs |= {"aria-invalid": "true"} if fault else {}
    pairs["aria-describedby"] = f"{name}-fault"
    return format_html_join("", ' {}="{}"', ((key, value) for key, value in pairs.items() if value != ""))


def _fault(form: Any, name: str) -> SafeString:
    fault = form.faults.get(name, "")
    more = _ENGLISH if form.english.get(name) else "" if fault else _HIDDEN
    return format_html('<span class="fault" id="{}-fault"{}>{}</span>', name, more, fault)


def _label(context: Any, name: str, label: str) -> SafeString:
    return format_html('<label for="{}">{}</label>', name, context["speech"].say(label))


def _named(context: Any, label: str, of: str) -> dict[str, object]:
    """A field in a table has no label of its own to be seen: it is named by its column and its row."""
    text = context["speech"].say(label)
    return {"aria_label": f"{text}, {of}" if of else text}


@register.simple_tag(takes_context=True)
def typed(context: Any, form: Any, name: str, label: str, **more: object) -> SafeString:
    """A text field under its label."""
    field = format_html(
        '<input{} value="{}" dir="auto" autocomplete="off">', _attributes(form, name, more), form.texts.get(name, "")
    )
    return format_html('<div class="entry">{}{}{}</div>', _label(context, name, label), field, _fault(form, name))


@register.simple_tag(takes_context=True)
def bare(context: Any, form: Any, name: str, label: str, of: str = "", **more: object) -> SafeString:
    """A text field in a table."""
    attributes = _attributes(form, name, {**more, **_named(context, label, of)})
    field = format_html('<input{} value="{}" dir="auto" autocomplete="off">', attributes, form.texts.get(name, ""))
    return format_html("{}{}", field, _fault(form, name))


@register.simple_tag(takes_context=True)
def written_long(context: Any, form: Any, name: str, label: str, rows: int = 3) -> SafeString:
    """Several lines of text under their label."""
    attributes = _attributes(form, name, {"rows": rows})
    field = format_html('<textarea{} dir="auto">{}</textarea>', attributes, form.texts.get(name, ""))
    return format_html('<div class="entry wide">{}{}{}</div>', _label(context, name, label), field, _fault(form, name))


@register.simple_tag(takes_context=True)
def picked(
    context: Any,
    form: Any,
    name: str,
    label: str,
    none: str = "",
    options: Any = None,
    of: str = "",
    bare: bool = False,
) -> SafeString:
    """One of some words. ``none``: what the empty choice is called; without it there is none."""
    chosen = form.texts.get(name, "")
    listed = list(form.options(name))
    if none:
        listed.insert(0, ("", context["speech"].say(none)))
    if chosen not in dict(listed) and chosen:
        listed.append((chosen, chosen))
    items = format_html_join(
        "",
        '<option value="{}"{}>{}</option>',
        ((key, _SELECTED if key == chosen else "", words) for key, words in listed),
    )
    named = _named(context, label, of) if bare else {}
    field = format_html("<select{}>{}</select>", _attributes(form, name, named), items)
    if bare:
        return format_html("{}{}", field, _fault(form, name))
    return format_html('<div class="entry">{}{}{}</div>', _label(context, name, label), field, _fault(form, name))


@register.simple_tag(takes_context=True)
def ticked(context: Any, form: Any, name: str, label: str, text: str = "", of: str = "") -> SafeString:
    """Yes or no; ``text`` in place of the label's words."""
    on = _CHECKED if form.texts.get(name) else ""
    words = text or context["speech"].say(label)
    unseen_of = format_html('<span class="unseen">, {}</span>', of) if of else ""
    return format_html(
        '<span class="tick"><input type="checkbox" id="{0}" name="{0}"{1}> <label for="{0}">{2}{3}</label></span>',
        name,
        on,
        words,
        unseen_of,
    )


@register.simple_tag
def unseen(form: Any, *names: str) -> SafeString:
    """What goes along without being shown."""
    pairs = ((name, form.texts[name]) for name in names if name in form.texts)
    return format_html_join("", '<input type="hidden" name="{}" value="{}">', pairs)


@register.simple_tag(takes_context=True)
def push(context: Any, move: str, label: str, of: str = "", sign: str = "", key: str = "") -> SafeString:
    """A button that asks for the form with a row added, dropped or moved."""
    text = context["speech"].say(label)
    full = f"{text}: {of}" if of else text
    name = format_html(' id="{}"', key) if key else ""
    if sign:
        button = '<button class="small" name="do" value="{}" aria-label="{}" title="{}"{}>{}</button>'
        return format_html(button, move, full, full, name, sign)
    return format_html('<button class="plain" name="do" value="{}"{}>{}</button>', move, name, full)


@register.simple_tag(takes_context=True)
def beside_name(context: Any, row: Any, names: Any) -> str:
    """What a row of two versions side by side is of."""
    if row.kind == "line":
        english, spanish = names.get(row.what, (row.what, row.what))
        return spanish if context["lang"] == "es" and spanish else english
    return context["speech"].or_own(f"field.{row.what.replace('_', '-')}", None)


@register.filter
def join_names(beginning: str, end: str) -> str:
    """The name of a field from the beginning of its row and its own end."""
    return f"{beginning}{end}"
