"""What a form's draft comes to while she types: masses, what it holds, what is wrong, as pieces of the page."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, JsonResponse
from django.template.loader import render_to_string
from django.views.decorators.http import require_POST

from smallhours.actions.known_ingredients import known_ingredients
from smallhours.actions.show_formula import ShownFormula
from smallhours.web.amounts import amount_said
from smallhours.web.formula_form.view import FormView
from smallhours.web.views.formula_edit import open_draft


@require_POST
def draft(request: HttpRequest) -> JsonResponse:
    """``texts``: by the id they stand in; ``html``: likewise; ``faults``: sentence by field. Writes nothing."""
    texts = {name: text for name, text in request.POST.items() if name not in ("csrfmiddlewaretoken", "do")}
    known = known_ingredients(request.actor)
    opened = open_draft(texts, known, request)
    view = FormView(texts, opened.faults, opened.shown, known, request.speech, opened.kitchen)
    answer: dict[str, Any] = {"faults": dict(opened.faults), "english": sorted(opened.english), "texts": {}, "html": {}}
    if opened.shown is not None:
        answer["texts"] = _texts(view, opened.shown, request)
        answer["html"]["draft-held"] = render_to_string("formulas/held.html", {"shown": opened.shown}, request)
    return JsonResponse(answer)


def _texts(view: FormView, shown: ShownFormula, request: HttpRequest) -> dict[str, str]:
    """The cells beside the fields."""
    speech, told = request.speech, {}
    for part in view.parts():
        told[f"{part.at}sum"] = "" if part.mass_g is None else speech.mass(part.mass_g)
        for line in part.lines:
            one = line.shown
            total = "" if one is None or one.total_percent is None else speech.number(one.total_percent, 2)
            told[f"{line.at}total"] = total
            fine = one is not None and one.finer
            told[f"{line.at}mass"] = (
                "" if one is None else speech.mass(one.exact_g, 0.01) if fine else speech.mass(one.mass_g, one.step_g)
            )
    told["draft-for"] = amount_said(shown, speech)
    return told
