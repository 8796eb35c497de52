"""Orders out of a spreadsheet: pasted or as a file, reported row by row, saved when confirmed."""

from __future__ import annotations

import json
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from smallhours.actions.permissions import require
from smallhours.actions.read_orders import ReadOrders, SeenOrders, read_orders
from smallhours.actions.save_orders import SaveOrders, save_orders
from smallhours.actions.tables.text import MOST_BYTES
from smallhours.bakery.orders.document import OrderBook
from smallhours.errors import BadInput, DocumentError
from smallhours.records import queries
from smallhours.web.uploads import TOO_LARGE

MOST_SHOWN = 200


def table(request: HttpRequest) -> HttpResponse:
    """Paste a table or choose a file; what was understood of it. Nothing is saved here."""
    require(request.actor, "save orders")
    context: dict[str, Any] = {"pasted": request.POST.get("pasted", "")}
    if request.method != "POST":
        saved = request.GET.get("saved", "")
        return render(request, "orders/table.html", {"saved": saved if saved.isdecimal() else ""})
    say = request.speech.say
    file = request.FILES.get("file")
    if TOO_LARGE in request.META:
        context["file_fault"] = say("typed.too-large", most=MOST_BYTES // 1_000_000)
    elif file is None and not context["pasted"].strip():
        context["pasted_fault"] = say("typed.nothing")
    else:
        data = context["pasted"].encode() if file is None else file.read()
        source = say("order-table.pasted") if file is None else file.name
        try:
            context |= _report(read_orders(ReadOrders(data, source), request.actor))
        except BadInput as error:
            context["pasted_fault" if file is None else "file_fault"] = str(error).removeprefix(f"{source}: ")
            context["fault_lang"] = "en"
    bad = "file_fault" in context or "pasted_fault" in context
    return render(request, "orders/table.html", context, status=422 if bad else 200)


@require_POST
def confirm(request: HttpRequest) -> HttpResponse:
    """Save the orders that were shown."""
    try:
        book = OrderBook.read(json.loads(request.POST.get("orders", "")), "orders")
        save_orders(SaveOrders(book, reason=request.speech.say("order-table.reason")), request.actor)
    except DocumentError as error:
        return render(request, "orders/table.html", {"pasted_fault": str(error), "fault_lang": "en"}, status=422)
    except ValueError:
        context = {"pasted_fault": request.speech.say("typed.nothing")}
        return render(request, "orders/table.html", context, status=422)
    count = len(book.standing) + len(book.single)
    return redirect(f"{request.path.replace('confirm/', '')}?{urlencode({'saved': count})}")


def _report(seen: SeenOrders) -> dict[str, Any]:
    """What the page says of a table: bad rows first among those shown, and the good ones to be confirmed."""
    names = queries.formula_names()
    rows = sorted(seen.rows, key=lambda one: (one.effect != "bad", one.row.number))[:MOST_SHOWN]
    rows.sort(key=lambda one: one.row.number)
    return {
        "seen": seen,
        "rows": [(one, names.get(one.order.product, "") if one.order else "") for one in rows],
        "hidden": len(seen.rows) - len(rows),
        "good": len(seen.rows) - len(seen.table.bad_rows),
        "bad": len(seen.table.bad_rows),
        "orders": json.dumps(seen.book.to_json_data()),
    }
