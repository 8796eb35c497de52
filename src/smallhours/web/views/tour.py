"""Where the guided look begins."""

from __future__ import annotations

import datetime as dt

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from smallhours.actions.clock import now
from smallhours.actions.night_date import coming_night
from smallhours.errors import NotFound
from smallhours.records import queries
from smallhours.web.tour import address
from smallhours.web.views.first import THINK_S


def tour(request: HttpRequest) -> HttpResponse:
    """What there will be to see; without a plan, first the button that makes one."""
    nights = queries.plan_nights()
    begin = address(1, nights[0]) if nights and queries.formula_slugs() else ""
    night: dt.date | None = None
    if not begin:
        try:
            night = coming_night(queries.kept_kitchen().document, now())
        except NotFound:
            night = None
    return render(request, "tour/tour.html", {"begin": begin, "night": night, "think": round(THINK_S)})
