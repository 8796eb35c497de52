"""Pages of orders: a day, a week, the standing ones, days off."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from functools import partial
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import redirect, render
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from smallhours.actions.change_orders import ChangeOrders, change_orders
from smallhours.actions.clock import now
from smallhours.actions.night_date import coming_night
from smallhours.actions.permissions import may
from smallhours.bakery.kitchen.document import DAYS
from smallhours.bakery.orders.document import OrderBook
from smallhours.bakery.orders.lines import against, waves
from smallhours.errors import BadInput, NotFound
from smallhours.records import queries
from smallhours.web.order_form import BLANK, Form, days_form, standing_form
from smallhours.web.order_reading import clash_sentence, free_text, read_form
from smallhours.web.typed import Typed
from smallhours.web.zone import kitchen_zone

WEEK = dt.timedelta(days=7)
_MOST_DAYS_OFF = 400


def of_a_day(request: HttpRequest) -> HttpResponse:
    """Orders of one day (``?date=``; the coming one if not said), to be read and changed."""
    date, fault = _date(request)
    return _page(request, "orders/day.html", (date,), date, fault)


def of_a_week(request: HttpRequest) -> HttpResponse:
    """Orders of the week that a day is in."""
    date, fault = _date(request)
    monday = date - dt.timedelta(days=date.weekday())
    dates = tuple(monday + dt.timedelta(days=n) for n in range(7))
    return _page(request, "orders/week.html", dates, date, fault)


def standing(request: HttpRequest) -> HttpResponse:
    """Standing orders by weekday, and the days on which the bakery is closed."""
    book = queries.order_book()
    context: dict[str, Any] = {"closed": _closed(book), "days_off": Typed({}, request.speech)}
    if request.method == "POST":
        return _save(request, "orders/standing.html", DAYS, context)
    form = standing_form(book, partial(free_text, speech=request.speech)).with_blank(BLANK)
    return _show(request, "orders/standing.html", form, context)


@require_POST
def days_off(request: HttpRequest) -> HttpResponse:
    """Close the bakery from one day to another, or open it again on one."""
    reading = Typed(request.POST, request.speech)
    again = reading.date("open", needed=False)
    if again is not None:
        change_orders(ChangeOrders(open=(again,)), request.actor)
        return redirect("orders-standing")
    first = reading.date("first")
    last = reading.date("last", needed=False) or first
    if first is not None and last is not None and not 0 <= (last - first).days < _MOST_DAYS_OFF:
        reading.fault("last", "wrong", found=reading.raw("last")[:40])
    if reading.faults or first is None or last is None:
        book = queries.order_book()
        form = standing_form(book, partial(free_text, speech=request.speech)).with_blank(BLANK)
        context = {"closed": _closed(book), "days_off": reading}
        return _show(request, "orders/standing.html", form, context, status=422)
    dates = tuple(first + dt.timedelta(days=n) for n in range((last - first).days + 1))
    changed = change_orders(ChangeOrders(close=dates), request.actor).changed
    return redirect(f"{request.path.replace('days-off', 'standing')}?{urlencode({'saved': changed})}")


def _page(request: HttpRequest, template: str, dates: Sequence[dt.date], date: dt.date, fault: str) -> HttpResponse:
    """A table of dates."""
    book = queries.order_book()
    context = {**_around(book, dates, date), "asked": request.GET.get("date", date.isoformat())[:20], "fault": fault}
    if request.method == "POST" and not fault:
        return _save(request, template, dates, context)
    form = days_form(book, dates, partial(free_text, speech=request.speech)).with_blank(BLANK)
    return _show(request, template, form, context, status=422 if fault else 200)


def _around(book: OrderBook, dates: Sequence[dt.date], date: dt.date) -> dict[str, Any]:
    """What stands around the table: waves, what differs from the week before, neighbours."""
    names = _names()
    orders = {day: book.on(day) for one in dates for day in (one, one - WEEK)}
    by_date = [waves(orders[one]) for one in dates]
    dues = sorted({wave.due for some in by_date for wave in some})
    changes = [
        (one, [(change, names.get(change.key.product, change.key.product), change.now - change.before)
               for change in against(orders[one - WEEK], orders[one])])
        for one in dates
    ]  # fmt: skip
    step = WEEK if len(dates) > 1 else dt.timedelta(days=1)
    totals = [sum(wave.pieces for wave in some) for some in by_date]
    last = [sum(order.pieces for order in orders[one - WEEK]) for one in dates]
    return {
        "date": date,
        "dates": dates,
        "closed_dates": [one for one in dates if one in book.closed],
        "waves": [
            (wave, [(names.get(product, product), pieces) for product, pieces in wave.products]) for wave in by_date[0]
        ],
        "due_rows": [
            (due, [next((wave.pieces for wave in some if wave.due == due), 0) for some in by_date]) for due in dues
        ],
        "totals": [(total, total - before) for total, before in zip(totals, last, strict=True)],
        "changes": [(one, some) for one, some in changes if some],
        "before": dates[0] - step,
        "after": dates[0] + step,
        "has_plan": date in queries.plan_nights(),
    }


def _save(request: HttpRequest, template: str, columns: Sequence[Any], context: dict[str, Any]) -> HttpResponse:
    """Save what was typed, or show it again with what is wrong."""
    zone, names = kitchen_zone(), _names()
    try:
        form = read_form(request.POST, columns, names, request.speech, zone)
    except (ValueError, TypeError):
        return HttpResponseBadRequest()
    if "more" in request.POST:
        return _show(request, template, form.with_blank(5), context)
    if form.faults:
        return _show(request, template, form, context, status=422)
    closed = {date for date in columns if isinstance(date, dt.date) and f"closed-{date}" in request.POST}
    shown = {date for date in columns if isinstance(date, dt.date) and f"closed-was-{date}" in request.POST}
    command = ChangeOrders(
        tuple(form.changes),
        close=tuple(sorted(closed - shown)),
        open=tuple(sorted(shown - closed)),
        reason=Typed(request.POST, request.speech).text("reason", needed=False) or "",
    )
    try:
        answer = change_orders(command, request.actor)
    except BadInput as error:
        return _show(request, template, form, {**context, "sentence": str(error)}, status=422)
    if answer.clashes:
        form.show(answer.clashes, partial(clash_sentence, speech=request.speech, zone=zone))
        return _show(request, template, form, {**context, "clashing": True}, status=409)
    asked = {"date": context["date"].isoformat()} if "date" in context else {}
    return redirect(f"{request.path}?{urlencode({**asked, 'saved': answer.changed})}")


def _show(request: HttpRequest, template: str, form: Form, context: dict[str, Any], status: int = 200) -> HttpResponse:
    saved = request.GET.get("saved", "") if request.method == "GET" else ""
    names = _names()
    shown = {
        "form": form,
        "products": sorted(names.items(), key=lambda item: item[1].casefold()),
        "product_slugs": names,
        "customers": _customers(queries.order_book()),
        "may_edit": may(request.actor, "save orders"),
        "saved": saved if saved.isdecimal() and len(saved) < 7 else "",
    }
    return render(request, template, {**context, **shown}, status=status)


def _customers(book: OrderBook) -> list[str]:
    """Everybody who has an order, for the field to offer."""
    return sorted({order.customer for order in (*book.standing, *book.single)}, key=str.casefold)


def _names() -> dict[str, str]:
    """Formulas that can be ordered, by id."""
    return queries.formula_names()


def _closed(book: OrderBook) -> list[dt.date]:
    """Days off from today on."""
    today = now().astimezone(kitchen_zone()).date()
    return [date for date in sorted(book.closed) if date >= today]


def _date(request: HttpRequest) -> tuple[dt.date, str]:
    """The day asked for, or the coming one with a sentence why."""
    asked = request.GET.get("date", "").strip()
    reading = Typed({"date": asked}, request.speech)
    date = reading.date("date", needed=False)
    fault = request.speech.say("oops.date", found=asked[:20]) if reading.faults else ""
    return date or _coming(), fault


def _coming() -> dt.date:
    try:
        return coming_night(queries.kept_kitchen().document, now())
    except NotFound:
        return now().date() + dt.timedelta(days=1)
