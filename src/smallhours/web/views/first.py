"""The first steps of a new bakery: kitchen, formula, order, plan; or the invented bakery to play with."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from smallhours.actions.clock import now
from smallhours.actions.load_demo import LoadDemo, load_demo
from smallhours.actions.night_date import coming_night
from smallhours.actions.permissions import may
from smallhours.actions.plan_night import PlanNight, plan_night
from smallhours.actions.save_formula import SaveFormula, save_formula
from smallhours.actions.save_kitchen import SaveKitchen, save_kitchen
from smallhours.actions.save_orders import SaveOrders, save_orders
from smallhours.bakery.formula.first import USUAL, first_formula
from smallhours.bakery.kitchen.clock import gap
from smallhours.bakery.kitchen.usual import FirstKitchen, first_kitchen
from smallhours.bakery.orders.document import Order, OrderBook, StandingOrder
from smallhours.errors import BadInput, DocumentError, NotFound
from smallhours.records import queries
from smallhours.web import first_forms
from smallhours.web.typed import Typed
from smallhours.web.zone import kitchen_zone

THINK_S = 20.0


def first(request: HttpRequest) -> HttpResponse:
    """Where a new bakery stands: what is there, what comes next."""
    done = _done()
    context = {
        "steps": list(done.items()),
        "next": next((key for key, there in done.items() if not there), ""),
        "empty": queries.is_empty(),
        "may_begin": may(request.actor, "save kitchen"),
        "fault": "" if request.GET.get("fault") != "demo" else request.speech.say("first-page.not-empty"),
    }
    return render(request, "first/first.html", context)


@require_POST
def demo(request: HttpRequest) -> HttpResponse:
    """Put the invented bakery into an empty store, then look at its night."""
    try:
        load_demo(LoadDemo(), request.actor)
    except BadInput:
        return redirect("/first/?fault=demo")
    return redirect("tour")


def kitchen(request: HttpRequest) -> HttpResponse:
    """A kitchen from a few answers."""
    if _done()["kitchen"]:
        return redirect("first")
    lang = request.speech.lang
    usual = FirstKitchen("", first_forms.zone_here(), "")
    if request.method != "POST":
        return _step(request, "kitchen", first_forms.filled(first_forms.KITCHEN, usual, request.speech))
    typed = Typed(request.POST, request.speech)
    answers = first_forms.read(first_forms.KITCHEN, typed)
    faults: tuple[str, ...] = ()
    if not typed.faults:
        try:
            reason = request.speech.say("first-page.reason")
            save_kitchen(SaveKitchen(first_kitchen(FirstKitchen(**answers), lang), reason), request.actor)
            return redirect("first-formula")
        except DocumentError as error:
            faults = tuple(str(fault) for fault in error.faults)
    return _step(request, "kitchen", first_forms.as_typed(first_forms.KITCHEN, typed), faults, 422)


def formula(request: HttpRequest) -> HttpResponse:
    """A formula from a few answers."""
    done = _done()
    if not done["kitchen"] or done["formula"]:
        return redirect("first")
    style = "bun" if (request.POST or request.GET).get("style") == "bun" else "loaf"
    more = {"style": style}
    if request.method != "POST":
        return _step(request, "formula", first_forms.filled(first_forms.FORMULA, USUAL[style], request.speech), **more)
    typed = Typed(request.POST, request.speech)
    answers = first_forms.read(first_forms.FORMULA, typed)
    faults: tuple[str, ...] = ()
    if not typed.faults:
        pans = queries.kept_kitchen().document.pans
        tray = next((pan.id for pan in pans if pan.kind == "tray"), pans[0].id if pans else None)
        wanted = first_forms.formula_of(style, tray, answers)
        try:
            made = first_formula(wanted, request.speech.say("first-page.dough"))
            save_formula(SaveFormula(made, request.speech.say("first-page.reason")), request.actor)
            return redirect("first-order")
        except BadInput as error:
            faults = tuple(map(str, error.faults)) if isinstance(error, DocumentError) else (str(error),)
    return _step(request, "formula", first_forms.as_typed(first_forms.FORMULA, typed), faults, 422, **more)


def order(request: HttpRequest) -> HttpResponse:
    """An order for the coming night, or for every day."""
    done = _done()
    if not done["formula"] or done["order"]:
        return redirect("first")
    products = {slug: kept.document.name for slug, kept in queries.kept_formulas().items() if kept.document.output}
    more: dict[str, Any] = {"products": products}
    if request.method != "POST":
        say = request.speech.say
        usual = {"customer": say("first-page.shop"), "pieces": 24, "due": dt.time(7, 30), "date": _coming()}
        return _step(request, "order", first_forms.filled(first_forms.ORDER, usual, request.speech), **more)
    typed = Typed(request.POST, request.speech)
    answers = first_forms.read(first_forms.ORDER, typed)
    product = typed.choice("product", products)
    zone = kitchen_zone()
    if answers.get("date") and answers.get("due") and (jump := gap(answers["date"], answers["due"], zone)):
        said = {"day": request.speech.day(answers["date"]), "time": f"{answers['due']:%H:%M}"}
        typed.fault("due", "gap", **said, before=f"{jump[0]:%H:%M}", after=f"{jump[1]:%H:%M}")
    if not typed.faults:
        date = answers.pop("date")
        daily = "daily" in request.POST
        one = {**answers, "product": product}
        book = OrderBook(standing=(StandingOrder(**one),)) if daily else OrderBook(single=(Order(**one, date=date),))
        save_orders(SaveOrders(book, reason=request.speech.say("first-page.reason")), request.actor)
        return redirect("first-plan")
    more |= {"product": request.POST.get("product", ""), "product_fault": typed.faults.get("product", "")}
    return _step(request, "order", first_forms.as_typed(first_forms.ORDER, typed), (), 422, **more)


def plan(request: HttpRequest) -> HttpResponse:
    """The first plan: of the first day from the coming one on that has orders."""
    try:
        night = _first_with_orders()
    except NotFound:
        return redirect("first")
    if request.method != "POST" or night is None:
        return _step(request, "plan", [], night=night, think=round(THINK_S))
    stored = plan_night(PlanNight(night, THINK_S, reason=request.speech.say("first-page.reason")), request.actor)
    if stored.id == 0:
        return _step(request, "plan", [], tuple(stored.plan.notes), 422, night=night, unplanned=True)
    return redirect("tour" if request.POST.get("then") == "tour" else f"/plan/{night.isoformat()}/")


def _step(
    request: HttpRequest, key: str, entries: list[first_forms.Entry], faults: tuple[str, ...] = (), status: int = 200,
    **more: Any,
) -> HttpResponse:  # fmt: skip
    context = {"key": key, "entries": entries, "faults": faults, "steps": list(_done().items()), **more}
    if key == "kitchen":
        context["zones"] = sorted(zone for zone in zoneinfo.available_timezones() if "/" in zone)
    return render(request, "first/step.html", context, status=status)


def _done() -> dict[str, bool]:
    """Which steps have been made, in their order."""
    book = queries.order_book()
    return {
        "kitchen": bool(queries.kitchen_slugs()),
        "formula": bool(queries.formula_slugs()),
        "order": bool(book.single or book.standing),
        "plan": bool(queries.plan_nights()),
    }


def _coming() -> dt.date:
    return coming_night(queries.kept_kitchen().document, now())


def _first_with_orders() -> dt.date | None:
    """The first of the coming two weeks that has orders. Raises NotFound without a kitchen."""
    book, coming = queries.order_book(), _coming()
    dates = [coming + dt.timedelta(days=n) for n in range(14)]
    dates += sorted(one.date for one in book.single if one.date > coming)
    return next((date for date in dates if book.on(date)), None)
