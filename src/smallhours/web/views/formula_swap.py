"""Swaps: what takes the place of an ingredient, before and after."""

from __future__ import annotations

import re

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from smallhours.actions.known_ingredients import known_ingredients
from smallhours.actions.permissions import may
from smallhours.actions.swap_formula import SwapInFormula, save_swap, swap_in_formula, swaps_of
from smallhours.bakery.formula.document import Formula
from smallhours.errors import BadInput, Impossible, NotFound, Overtaken
from smallhours.records import queries


@require_http_methods(["GET", "POST"])
def page(request: HttpRequest, slug: str) -> HttpResponse:
    """Which swaps there are; one of them before and after; and writing it."""
    try:
        kept, swaps = queries.kept_formula(slug), swaps_of(slug, request.actor)
    except NotFound as error:
        raise Http404(str(error)) from None
    asked = request.POST if request.method == "POST" else request.GET
    chosen, part = asked.get("swap", ""), asked.get("part", "") or None
    context = {
        "formula": kept.document,
        "number": kept.number,
        "swaps": swaps,
        "chosen": chosen,
        "part": part or "",
        "parts": kept.document.parts,
        "part_names": _part_names(kept.document),
        "names": known_ingredients(request.actor).names(request.speech.lang),
        "may_edit": may(request.actor, "save formula"),
        "may_save": may(request.actor, "save formula") and kept.document.base is None,
        "reason": asked.get("reason", ""),
    }
    if not chosen:
        return render(request, "formulas/swap.html", context)
    command = SwapInFormula(slug, chosen, part)
    try:
        if request.method == "POST":
            number = asked.get("revision", "")
            made_from = int(number) if re.fullmatch(r"\d{1,7}", number, re.ASCII) else 0
            saved = save_swap(command, " ".join(context["reason"].split())[:500], made_from, request.actor)
            return redirect(f"/formulas/{slug}/?" + ("saved=1" if saved.changed else "same=1"))
        done = swap_in_formula(command, request.actor)
    except Overtaken as error:
        context["overtaken"] = error
        context["done"] = swap_in_formula(command, request.actor)
        return render(request, "formulas/swap.html", context, status=409)
    except (NotFound, BadInput, Impossible) as error:
        return render(request, "formulas/swap.html", {**context, "fault": str(error)}, status=422)
    return render(request, "formulas/swap.html", {**context, "done": done, "part_names": _part_names(done.formula)})


def _part_names(formula: Formula) -> dict[str, str]:
    return {part.id: part.name for part in formula.parts}
