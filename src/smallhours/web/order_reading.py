"""A posted table of orders: what was typed, what that changes, and what is wrong with it."""

from __future__ import annotations

import datetime as dt
import re
import zoneinfo
from collections.abc import Collection, Mapping, Sequence

from smallhours.actions.change_orders import Clash
from smallhours.actions.tables import cells
from smallhours.actions.tables.headings import loosened
from smallhours.bakery.kitchen.clock import gap
from smallhours.bakery.orders.lines import OrderKey
from smallhours.sheets.words import Speech
from smallhours.web.order_form import MOST_LINES, Column, Form, Line, Was, blank_cells, make_change
from smallhours.web.typed import Typed


def read_form(
    posted: Mapping[str, str],
    columns: Sequence[Column],
    products: Collection[str],
    speech: Speech,
    zone: zoneinfo.ZoneInfo,
) -> Form:
    """The form as it was typed. Raises ValueError for one that no page of ours has made."""
    count = int(posted.get("lines", ""))
    if not 0 <= count <= MOST_LINES:
        raise ValueError("more lines than a table has")
    form = Form(tuple(columns), [])
    seen: set[tuple[object, ...]] = set()
    for number in range(count):
        typed = Typed(posted, speech)
        line = _raw_line(number, posted, columns)
        form.lines.append(line)
        if line.was is not None or not line.blank:
            key = _read_line(form, line, typed, products, zone)
            if key is not None and key in seen:
                typed.fault(f"l{number}-customer", "twice")
            seen.add(key or ())
        for cell in line.cells:
            cell.fault = typed.faults.pop(cell.name, "")
        line.faults = {name.partition("-")[2]: said for name, said in typed.faults.items()}
    return form


def clash_sentence(clash: Clash, speech: Speech, zone: zoneinfo.ZoneInfo) -> str:
    """What somebody else has written meanwhile, and what saving again does."""
    clock = speech.clock(clash.at, zone) if clash.at else ""
    key = "order-form.clash-gone" if clash.found is None else "order-form.clash"
    return speech.say(key, by=clash.by, clock=clock, found=clash.found)


def free_text(free: Sequence[str], speech: Speech) -> str:
    """Allergens as people read them."""
    return ", ".join(speech.or_own(f"allergen.{name}", None) for name in free)


def _raw_line(number: int, posted: Mapping[str, str], columns: Sequence[Column]) -> Line:
    def raw(name: str) -> str:
        return posted.get(f"l{number}-{name}", "")

    was = Was.read(raw("was"), len(columns))
    line = Line(number, raw("customer"), raw("product"), raw("due"), raw("free"), was)
    line.cells = blank_cells(number, columns, posted)
    return line


def _read_line(
    form: Form, line: Line, typed: Typed, products: Collection[str], zone: zoneinfo.ZoneInfo
) -> tuple[object, ...] | None:
    """Read a line's fields and note its changes; what it is known by, if all that is sound."""
    name, was = f"l{line.number}-", line.was
    known = {*products, was.key.product} if was else products
    customer, product = typed.text(name + "customer"), typed.choice(name + "product", known)
    due, free = typed.time(name + "due"), _free(name + "free", typed)
    numbers = [typed.pieces(cell.name) for cell in line.cells]
    if customer is None or product is None or due is None:
        return None
    if was is not None and f"{was.key.due:%H:%M}" == f"{due:%H:%M}":
        due = was.key.due  # seconds are not shown
    if was is not None and not form.by_weekday:
        free = was.free  # of single days it is only shown
    key = OrderKey(due, customer, product)
    moved = was is not None and (was.key, was.free) != (key, free)
    for place, (column, now) in enumerate(zip(form.columns, numbers, strict=True)):
        before = was.pieces[place] if was else None
        if moved and was is not None and before is not None:
            form.add(make_change(column, was.key, was.free, before, None), line, place)
            before = None
        if now != before:
            form.add(make_change(column, key, free, before, now), line, place)
            if was is None or moved:
                _mind_the_gap(name + "due", column, due, zone, typed)
    return (key, free) if form.by_weekday else (key,)


def _mind_the_gap(name: str, column: Column, due: dt.time, zone: zoneinfo.ZoneInfo, typed: Typed) -> None:
    """A new order is not taken for an hour that the clocks jump over on that date."""
    jump = None if isinstance(column, str) else gap(column, due, zone)
    if jump and not isinstance(column, str):
        day, (before, after) = typed.speech.day(column), jump
        typed.fault(name, "gap", time=f"{due:%H:%M}", day=day, before=f"{before:%H:%M}", after=f"{after:%H:%M}")


def _free(name: str, typed: Typed) -> tuple[str, ...]:
    """Allergens by their names in the page's language, or as ingredients call them."""
    names = {
        loosened(text): key.partition(".")[2] for key, text in typed.speech.texts.items() if key.startswith("allergen.")
    }
    raw = typed.raw(name)
    found = cells.slugs(raw)
    if len(found) != len([part for part in re.split(r"[,;/+]", raw) if part.strip()]) or len(raw) > 200:
        typed.fault(name, "free", found=raw[:40])
        return ()
    return tuple(sorted({names.get(word.replace("-", " "), word) for word in found}))
