"""Pages of the kitchen: what plans are made for, a form for each part of it, and its text form."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import redirect, render
from django.utils.http import urlencode
from django.utils.safestring import mark_safe

from smallhours.actions.change_kitchen import ChangeKitchen, change_kitchen
from smallhours.actions.clock import now
from smallhours.actions.night_date import coming_night
from smallhours.actions.permissions import may
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.errors import DocumentError, Fault, NotFound
from smallhours.records import queries
from smallhours.records.mapping import Kept
from smallhours.sheets.room_curve import room_curve_svg
from smallhours.web import kitchen_form
from smallhours.web.kitchen_fields import BY_KEY, SECTIONS, Section
from smallhours.web.kitchen_rows import ROWS
from smallhours.web.typed import Typed

MOST_LETTERS = 200_000


def kitchen(request: HttpRequest) -> HttpResponse:
    """What plans are made for: equipment, people, temperatures, the room over the coming night."""
    try:
        kept = queries.kept_kitchen()
    except NotFound:
        return render(request, "kitchen/kitchen.html", {"kept": None, "kitchen": None})
    night = coming_night(kept.document, now())
    context = {
        "kept": kept,
        "kitchen": kept.document,
        "zone": kept.document.zone(),
        "curve": _curve(kept.document, night, request.speech.lang),
        "night": night,
        "saved": request.GET.get("saved") in BY_KEY or request.GET.get("saved") == "text",
        "may_edit": _may(request),
        "parts": SECTIONS,
    }
    return render(request, "kitchen/kitchen.html", context)


def section(request: HttpRequest, key: str) -> HttpResponse:
    """The form of one part of the kitchen."""
    part = BY_KEY.get(key)
    if part is None:
        raise Http404(request.speech.say("kitchen-form.no-part", found=key[:40]))
    try:
        kept = queries.kept_kitchen()
    except NotFound:
        return redirect("kitchen")
    if request.method == "POST":
        return _save(request, part)
    things = kitchen_form.shown(part, kitchen_form.held(part, kept.document), request.speech)
    return _form(request, part, kept, things)


def as_text(request: HttpRequest) -> HttpResponse:
    """The whole kitchen in its text form, to be read, kept or changed."""
    try:
        kept = queries.kept_kitchen()
    except NotFound:
        return redirect("kitchen")
    context: dict[str, Any] = {
        "kept": kept,
        "text": kept.document.to_toml(),
        "may_edit": _may(request),
        "parts": SECTIONS,
    }
    if request.method != "POST":
        return render(request, "kitchen/text.html", context)
    context["text"] = request.POST.get("text", "")
    slug, number = _based_on(request)
    try:
        if len(context["text"]) > MOST_LETTERS:
            raise DocumentError("", [Fault("", request.speech.say("typed.sent-too-much"))])
        wanted = Kitchen.read_toml(context["text"], "the text").to_json_data()
        fields = {name: wanted.get(name) for name in Kitchen.model_fields if name in wanted}
        empty = {name: () for name in Kitchen.model_fields if name not in wanted}
        answer = change_kitchen(ChangeKitchen(slug, number, {**empty, **fields}, _reason(request)), request.actor)
    except DocumentError as error:
        return render(request, "kitchen/text.html", {**context, "faults": error.faults}, status=422)
    except NotFound:
        return HttpResponseBadRequest()
    if answer.overtaken is not None:
        newer = answer.overtaken
        context |= {"kept": newer, "overtaken": newer, "theirs": newer.document.to_toml(), **_zone(newer)}
        return render(request, "kitchen/text.html", context, status=409)
    return redirect(_back(request, "text"))


def _save(request: HttpRequest, part: Section) -> HttpResponse:
    """Save what was typed, or show it again with what is wrong or what somebody else has written."""
    typed = Typed(request.POST, request.speech)
    try:
        slug, number = _based_on(request)
        base = queries.kept_kitchen(slug, number)
        things, data = kitchen_form.read(part, typed, base.document)
    except (ValueError, NotFound):
        return HttpResponseBadRequest()
    if "add" in request.POST and part.many:
        things.append(kitchen_form.fresh(part, len(things), request.speech))
        return _form(request, part, base, things)
    if any(thing.count for thing in things):
        return _form(request, part, base, things, status=422)
    try:
        command = ChangeKitchen(slug, number, _fields(part, data), _reason(request))
        answer = change_kitchen(command, request.actor)
    except DocumentError as error:
        return _form(request, part, base, things, status=422, sentences=error.faults)
    if answer.overtaken is not None:
        theirs = kitchen_form.shown(part, kitchen_form.held(part, answer.overtaken.document), request.speech)
        return _form(request, part, answer.overtaken, things, status=409, theirs=theirs)
    return redirect(_back(request, part.key))


def _form(
    request: HttpRequest, part: Section, kept: Kept[Kitchen], things: list[kitchen_form.Thing], status: int = 200,
    **more: Any,
) -> HttpResponse:  # fmt: skip
    context = {
        "part": part,
        "parts": SECTIONS,
        "kept": kept,
        "things": things,
        "count": sum(thing.count for thing in things if not thing.removed),
        "row_kinds": tuple(ROWS),
        "may_edit": _may(request),
        "zones": _zones() if part.key == "house" else (),
        **_zone(kept),
        **more,
    }
    if part.key == "temperatures":
        night = coming_night(kept.document, now())
        context |= {"curve": _curve(kept.document, night, request.speech.lang), "night": night}
    return render(request, "kitchen/form.html", context, status=status)


def _fields(part: Section, data: list[dict[str, Any]]) -> dict[str, Any]:
    """The fields of the kitchen that a form fills."""
    if part.many:
        return {part.key: data}
    if part.model is Kitchen:
        return {spec.name: data[0].get(spec.name) for spec in part.specs}
    return {part.key: data[0]}


def _curve(held: Kitchen, night: dt.date, lang: str) -> str:
    # the drawing escapes every name it writes
    return mark_safe(room_curve_svg(held, night, lang=lang, theme="classes"))


def _based_on(request: HttpRequest) -> tuple[str, int]:
    number = request.POST.get("based-on", "")
    if not (number.isascii() and number.isdigit() and len(number) < 10):
        raise NotFound("a form that names no revision")
    return request.POST.get("kitchen", ""), int(number)


def _reason(request: HttpRequest) -> str:
    return Typed(request.POST, request.speech).text("reason", needed=False) or ""


def _back(request: HttpRequest, key: str) -> str:
    return f"/kitchen/?{urlencode({'saved': key})}#{key}"


def _may(request: HttpRequest) -> bool:
    return may(request.actor, "save kitchen")


def _zone(kept: Kept[Kitchen]) -> dict[str, Any]:
    return {"zone": kept.document.zone()}


def _zones() -> list[str]:
    import zoneinfo

    return sorted(zone for zone in zoneinfo.available_timezones() if "/" in zone and not zone.startswith("Etc/"))
