"""Revisions of a formula side by side, with their reasons."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from smallhours.actions.compare_formulas import CompareFormulas, compare_formulas
from smallhours.actions.permissions import may
from smallhours.errors import NotFound
from smallhours.records import queries
from smallhours.web.zone import kitchen_zone


def page(request: HttpRequest, slug: str) -> HttpResponse:
    """Two revisions: those asked for (``?older=``, ``?newer=``), else the newest and the one before it."""
    history = queries.formula_history(slug)
    if not history:
        raise Http404(request.speech.say("versions.none", found=slug[:60]))
    numbers = [kept.number for kept in history]
    newer = _number(request.GET.get("newer", ""), numbers, numbers[0])
    before = [number for number in numbers if number < newer]
    older = _number(request.GET.get("older", ""), numbers, before[0] if before else newer)
    try:
        compared = compare_formulas(CompareFormulas(slug, older, newer), request.actor)
    except NotFound as error:
        raise Http404(str(error)) from None
    context = {
        "formula": history[0].document,
        "history": history,
        "older": older,
        "newer": newer,
        "compared": compared,
        "all": bool(request.GET.get("all")),
        "zone": kitchen_zone(),
        "may_save": may(request.actor, "save formula"),
    }
    return render(request, "formulas/versions.html", context)


def _number(text: str, known: list[int], usual: int) -> int:
    """The revision asked for, if there is one of that number."""
    plain = text.isascii() and text.isdigit() and len(text) < 8
    return int(text) if plain and int(text) in known else usual
