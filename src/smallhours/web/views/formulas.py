"""Pages of formulas."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from smallhours.actions.list_formulas import list_formulas
from smallhours.actions.show_formula import ShowFormula, show_formula
from smallhours.bakery.formula.scaling import MOST_PIECES
from smallhours.errors import BadInput, NotFound
from smallhours.records import queries


def every(request: HttpRequest) -> HttpResponse:
    """The list of formulas."""
    return render(request, "formulas/list.html", {"formulas": list_formulas()})


def one(request: HttpRequest, slug: str) -> HttpResponse:
    """One formula: parts, masses for a number of pieces, what it holds, stages, what the checks say."""
    asked, written = request.GET.get("pieces", "").strip(), request.GET.get("revision", "").strip()
    say = request.speech.say
    pieces = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 8 else None
    number = int(written) if written.isascii() and written.isdigit() and len(written) < 8 else None
    fault = ""
    if asked and (pieces is None or not 0 < pieces < MOST_PIECES):
        fault = say("oops.pieces", most=MOST_PIECES - 1, found=asked[:20])
        pieces = None
    if written and number is None:
        raise Http404(say("oops.revision", found=written[:20]))
    try:
        shown = show_formula(ShowFormula(slug, number, pieces))
    except NotFound as error:
        raise Http404(str(error)) from None
    except BadInput as error:
        if pieces is None:
            raise
        fault, shown = str(error), show_formula(ShowFormula(slug, number))
    context = {
        "shown": shown,
        "asked": asked or (shown.scaled.pieces or ""),
        "fault": fault,
        "history": queries.formula_history(slug),
        "base": queries.kept_formula(shown.formula.base).document if shown.formula.base else None,
        "overall": [(*shown.names[key], percent) for key, percent in shown.overall.items()],
        "stages": [(stage, shown.whole.part(stage.part or shown.whole.main).name) for stage in shown.whole.stages],
    }
    return render(request, "formulas/one.html", context, status=422 if fault else 200)
