"""Pages of formulas: the list, and one formula laid open."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from smallhours.actions.known_ingredients import known_ingredients
from smallhours.actions.list_formulas import ListedFormula, list_formulas
from smallhours.actions.permissions import may
from smallhours.actions.show_formula import ShowFormula, ShownFormula, show_formula
from smallhours.errors import BadInput, NotFound
from smallhours.records import queries
from smallhours.sheets.shaping import shaping_drawings
from smallhours.web.amounts import WAYS, read_amount
from smallhours.web.zone import kitchen_zone


def every(request: HttpRequest) -> HttpResponse:
    """The list of formulas; with ``?q=`` those that have these words in their name, class or ingredients."""
    words = " ".join(request.GET.get("q", "").split())[:100]
    formulas = list_formulas(request.actor)
    found = [one for one in formulas if _has(one, words.casefold(), request)]
    context = {
        "formulas": found,
        "words": words,
        "any": bool(formulas),
        "may_save": may(request.actor, "save formula"),
        "bases": [one.formula for one in formulas if not one.formula.base],
    }
    return render(request, "formulas/list.html", context)


def one(request: HttpRequest, slug: str) -> HttpResponse:
    """One formula: parts, masses for what is asked, what it holds, stages, shaping, what the checks say."""
    written = request.GET.get("revision", "").strip()
    number = int(written) if written.isascii() and written.isdigit() and len(written) < 8 else None
    if written and number is None:
        raise Http404(request.speech.say("oops.revision", found=written[:20]))
    asked = read_amount(request.GET, slug, number, known_ingredients(request.actor), request.speech)
    fault, english = asked.fault, False
    try:
        shown = show_formula(asked.command or ShowFormula(slug, number), request.actor)
    except (BadInput, NotFound) as error:
        if asked.command is None or not asked.amount:
            raise Http404(str(error)) from None
        fault, english = str(error), True
        shown = _usual(ShowFormula(slug, number), request)
    context = {
        "shown": shown,
        "asked": asked,
        "amount": asked.amount or (shown.scaled.pieces or ""),
        "ways": WAYS if shown.whole.output else WAYS[2:],
        "fault": fault,
        "fault_in_english": english,
        "may_save": may(request.actor, "save formula"),
        "saved": request.GET.get("saved"),
        "same": request.GET.get("same"),
        **_around(shown, request),
    }
    return render(request, "formulas/one.html", context, status=422 if fault else 200)


def _usual(command: ShowFormula, request: HttpRequest) -> ShownFormula:
    try:
        return show_formula(command, request.actor)
    except NotFound as error:
        raise Http404(str(error)) from None


def _around(shown: ShownFormula, request: HttpRequest) -> dict[str, Any]:
    """What stands around the masses."""
    try:
        kitchen = queries.kept_kitchen().document
    except NotFound:
        kitchen = None
    return {
        "history": queries.formula_history(shown.formula.id),
        "zone": kitchen_zone(),
        "base": queries.kept_formula(shown.formula.base).document if shown.formula.base else None,
        "overall": [(*shown.names[key], percent) for key, percent in shown.overall.items()],
        "stages": [(stage, shown.whole.part(stage.part or shown.whole.main).name) for stage in shown.whole.stages],
        "drawings": shaping_drawings(shown.whole, shown.scaled, kitchen, request.speech.lang),
    }


def _has(one: ListedFormula, words: str, request: HttpRequest) -> bool:
    """Whether every word stands in what is known of it."""
    told = [one.formula.name, one.formula.id]
    if one.balance:
        told += [one.balance.dough_class, request.speech.or_own(f"class.{one.balance.dough_class}", None)]
    told += [f"{line.ingredient or ''}" for part in one.formula.parts for line in part.lines]
    text = " ".join(told).casefold()
    return all(word in text for word in words.split())
