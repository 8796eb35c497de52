"""What every page knows: its language, its sections, where it stands."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from smallhours.actions.permissions import Actor, may
from smallhours.sheets.words import LANGUAGES
from smallhours.web.words import page_speech

SECTIONS = ("plan", "formulas", "orders", "kitchen")
TABLET_SECTIONS = ("plan",)


def _sections(actor: Actor | None) -> tuple[str, ...]:
    """The sections somebody can open; those at a shared tablet stay with the shift."""
    if actor is None:
        return ()
    if actor.scope == "shift":
        return TABLET_SECTIONS
    return (*SECTIONS, "house-people") if may(actor, "manage people") else SECTIONS


def page(request: HttpRequest) -> dict[str, Any]:
    """The language, links to the same page in the others, and the sections."""
    speech = getattr(request, "speech", None) or page_speech("en")
    match = getattr(request, "resolver_match", None)
    name = "" if match is None else match.url_name or ""
    here = name.partition("-")[0]
    links = []
    for lang in LANGUAGES:
        query = request.GET.copy()
        query["lang"] = lang
        links.append({"lang": lang, "name": page_speech(lang).say("page.language"), "href": f"?{query.urlencode()}"})
    return {
        "speech": speech,
        "lang": speech.lang,
        "languages": links,
        "sections": _sections(getattr(request, "actor", None)),
        "actor": getattr(request, "actor", None),
        "person": getattr(request, "person", None),
        "tablet": getattr(request, "tablet", None),
        "here": here,
        "page_name": name,
        "plan_command": settings.PLAN_COMMAND,
    }
