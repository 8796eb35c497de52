"""What if: sliders that move a dough's curves and numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils.safestring import mark_safe

from smallhours.actions.permissions import may
from smallhours.actions.try_formula import (
    ALL_MEMBERS,
    FEW_MEMBERS,
    Stand,
    Tried,
    TryFormula,
    sliders_of,
    stand_of,
    try_formula,
)
from smallhours.errors import BadInput, NotFound
from smallhours.sheets.ribbons.forecast_svg import forecast_svg
from smallhours.web.formula_form import kinds as k

WIDTH_MM = 200.0


@dataclass(frozen=True)
class Slider:
    """A slider with a number beside it: between which figures, in which steps, where it stands and where it usually
    does; ``fault``: what is wrong with the number."""

    name: str
    low: float
    high: float
    step: float
    usual: float
    value: float
    typed: str
    fault: str = ""

    @property
    def shown(self) -> Mapping[str, str]:
        """Its figures as attributes want them, with a decimal point."""
        figures = {"low": self.low, "high": self.high, "step": self.step, "value": self.value, "usual": self.usual}
        return {name: k.plain(value) for name, value in figures.items()}


def page(request: HttpRequest, slug: str) -> HttpResponse:
    """The sliders and the picture; what is asked for stands in the address."""
    stand = _stand(request, slug)
    sliders = _sliders(request, stand)
    context: dict[str, Any] = {
        "formula": stand.formula,
        "sliders": sliders,
        "may_edit": may(request.actor, "save formula"),
    }
    context |= _tried(request, stand, sliders, ALL_MEMBERS)
    faulty = bool(context["fault"]) or any(slider.fault for slider in sliders)
    return render(request, "formulas/try.html", context, status=422 if faulty else 200)


def moved(request: HttpRequest, slug: str) -> JsonResponse:
    """The picture and the numbers alone; ``?quick=1`` while a slider moves."""
    stand = _stand(request, slug)
    sliders = _sliders(request, stand)
    members = FEW_MEMBERS if request.GET.get("quick") else ALL_MEMBERS
    context = _tried(request, stand, sliders, members)
    answer = {
        "faults": {slider.name: slider.fault for slider in sliders},
        "html": {"tried": render_to_string("formulas/tried.html", context, request)},
    }
    return JsonResponse(answer)


def _stand(request: HttpRequest, slug: str) -> Stand:
    try:
        return stand_of(slug, request.actor)
    except NotFound as error:
        raise Http404(str(error)) from None


def _sliders(request: HttpRequest, stand: Stand) -> list[Slider]:
    return [_slider(request, one.name, (one.low, one.high, one.step), one.usual) for one in sliders_of(stand)]


def _slider(request: HttpRequest, name: str, figures: tuple[float, float, float], usual: float) -> Slider:
    low, high, step = figures
    text = request.GET.get(name, "").strip()
    plain = request.speech.short(usual, 1)
    if not text:
        return Slider(name, low, high, step, usual, usual, plain)
    try:
        value = k.read_number(text)
    except k.Wrong:
        value = float("nan")
    if not low <= value <= high:
        shown = text if len(text) <= 20 else text[:19] + "…"
        low_said, high_said = (request.speech.short(figure, 1) for figure in (low, high))
        fault = request.speech.say("try.between", low=low_said, high=high_said, found=shown)
        return Slider(name, low, high, step, usual, usual, text, fault)
    return Slider(name, low, high, step, usual, value, text)


def _tried(request: HttpRequest, stand: Stand, sliders: list[Slider], members: int) -> dict[str, Any]:
    """The forecast as the sliders stand; those that stand where they usually do say nothing."""
    said = {slider.name: slider.value for slider in sliders if slider.value != slider.usual}
    names = {"room": "room_c", "fridge": "fridge_c", "dough": "dough_temp_c", "piece": "piece_mass_g",
             "flour": "flour_points"}  # fmt: skip
    try:
        given = {names[name]: value for name, value in said.items()}
        command = TryFormula(stand.formula.id, members=members, **given)
        tried: Tried = try_formula(command, request.actor, stand)
    except (BadInput, NotFound) as error:
        return {"fault": str(error), "tried": None}
    # the drawing escapes every name it writes
    drawing = mark_safe(forecast_svg(tried.made, lang=request.speech.lang, width_mm=WIDTH_MM, theme="classes"))
    stages = [stage for stage in tried.made.stages if stage.end_s > 0 and stage.end_s > stage.start_s]
    return {"fault": "", "tried": tried, "drawing": drawing, "stages": stages}
