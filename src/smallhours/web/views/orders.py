"""The page of a day's orders."""

from __future__ import annotations

import datetime as dt

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from smallhours.actions.clock import now
from smallhours.actions.night_date import coming_night
from smallhours.errors import NotFound
from smallhours.records import queries


def of_a_day(request: HttpRequest) -> HttpResponse:
    """Orders of one day (``?date=``; the coming one if not said), and the standing ones."""
    asked, fault = request.GET.get("date", "").strip(), ""
    date = _coming()
    if asked:
        try:
            date = dt.date.fromisoformat(asked)
        except ValueError:
            fault = request.speech.say("oops.date", found=asked[:20])
    book = queries.order_book()
    names = {slug: kept.document.name for slug, kept in queries.kept_formulas().items()}
    orders = [(order, names.get(order.product, order.product)) for order in book.on(date)]
    context = {
        "date": date,
        "asked": asked or date.isoformat(),
        "fault": fault,
        "orders": orders,
        "pieces": sum(order.pieces for order, _ in orders),
        "closed": date in book.closed,
        "standing": [(order, names.get(order.product, order.product)) for order in book.standing],
        "has_plan": date in queries.plan_nights(),
    }
    return render(request, "orders/day.html", context, status=422 if fault else 200)


def _coming() -> dt.date:
    try:
        return coming_night(queries.kept_kitchen().document, now())
    except NotFound:
        return now().date() + dt.timedelta(days=1)
