"""Pages of a night's plan."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import mark_safe

from smallhours.actions.begun_before import begun_before
from smallhours.actions.night_papers import NightPapersOf, night_papers
from smallhours.actions.stored_plan import StoredPlan, stored_plan
from smallhours.actions.weigh_bowls import Bowl, weigh_bowls
from smallhours.errors import NotFound
from smallhours.records import queries
from smallhours.sheets.cautions import kept_free
from smallhours.sheets.ribbons.night import night_svg
from smallhours.web.night_view import NightView
from smallhours.web.signing import on_tablets

RIBBON_WIDTH_MM = 300.0


@on_tablets
def newest(request: HttpRequest) -> HttpResponse:
    """To the newest plan, or how to make one."""
    try:
        night = queries.kept_plan().night
    except NotFound:
        return redirect("first") if queries.is_empty() else render(request, "plan/none.html")
    query = f"?{request.GET.urlencode()}" if request.GET else ""
    return redirect(f"/plan/{night.isoformat()}/{query}")


@on_tablets
def overview(request: HttpRequest, night: dt.date) -> HttpResponse:
    """The night at a glance: ribbons, orders, what is late and why."""
    context = _night(night)
    # the drawing escapes every name it writes; nothing else is marked safe
    ribbons = mark_safe(night_svg(context["plan"], lang=request.speech.lang, width_mm=RIBBON_WIDTH_MM, theme="classes"))
    orders = context["view"].orders()
    late = sum(order.ready is None or order.late_s > 0 for order, _ in orders)
    more = {"ribbons": ribbons, "orders": orders, "late_count": late, "begin": begun_before(context["stored"])}
    return render(request, "plan/overview.html", {**context, **more})


@on_tablets
def people(request: HttpRequest, night: dt.date) -> HttpResponse:
    """Who does what when."""
    context = _night(night)
    return render(request, "plan/people.html", {**context, "people": list(context["view"].people())})


@on_tablets
def ovens(request: HttpRequest, night: dt.date) -> HttpResponse:
    """The oven list."""
    context = _night(night)
    return render(request, "plan/ovens.html", {**context, "decks": list(context["view"].decks())})


@on_tablets
def weigh_up(request: HttpRequest, night: dt.date) -> HttpResponse:
    """What goes into each bowl, and how cold the liquid must be."""
    papers = night_papers(NightPapersOf(night=_stored(night).plan.night))
    context = _night(night)
    view: NightView = context["view"]
    bowls = [
        {
            "bowl": bowl,
            "start": view.mix_start(bowl.batch.id),
            "mixer": view.names.get(bowl.batch.mixer or ""),
            "allergens": _allergens(request, bowl),
            "kept_free": kept_free(view.tasks_of(bowl.batch.id), view.names, request.speech),
            "into": [view.names.get(batch, batch) for batch in bowl.batch.feeds],
        }
        for bowl in weigh_bowls(papers)
    ]
    bowls.sort(key=lambda one: one["start"] or view.plan.horizon_end)
    return render(request, "plan/weigh_up.html", {**context, "bowls": bowls})


def _allergens(request: HttpRequest, bowl: Bowl) -> str:
    found = next((c.about for c in bowl.weigh_up.cautions if c.key == "allergens"), ())
    return request.speech.listed(request.speech.or_own(f"allergen.{key}", None) for key in found)


def _stored(night: dt.date) -> StoredPlan:
    try:
        return stored_plan(queries.kept_plan(night))
    except NotFound as error:
        raise Http404(str(error)) from None


def _night(night: dt.date) -> dict[str, Any]:
    stored = _stored(night)
    view = NightView(stored.plan)
    others = [other for other in queries.plan_nights() if other != night][:14]
    return {
        "stored": stored,
        "plan": stored.plan,
        "status_key": f"status-{stored.plan.status}",
        "view": view,
        "zone": view.zone,
        "night": night,
        "others": others,
    }
