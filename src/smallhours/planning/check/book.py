"""The order book: the plan is for what was ordered for that day, no more and no less."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from smallhours.bakery.kitchen.clock import instant
from smallhours.planning.check.case import Case
from smallhours.planning.check.violation import Violation

KIND = "orders"


def book(case: Case) -> Iterator[Violation]:
    """Every order of the book for that day is in the plan, with its pieces and its due time, and no other."""
    orders, kitchen = case.documents.orders, case.documents.kitchen
    if orders is None:
        return
    if kitchen is None:
        from zoneinfo import ZoneInfo

        zone = ZoneInfo(case.plan.timezone)
    else:
        zone = kitchen.zone()
    wanted = Counter(
        (o.customer, o.product, o.pieces, instant(o.date, o.due, zone), tuple(sorted(o.free_from)))
        for o in orders.on(case.plan.night)
    )
    planned = Counter((o.customer, o.product, o.pieces, o.due, tuple(sorted(o.free_from))) for o in case.plan.orders)
    for customer, product, pieces, due, free in wanted - planned:
        what = f"{pieces}{_free(free)} are ordered for {case.clock(due)}, which is not in the plan"
        yield Violation(KIND, f"{customer}'s {product}", what)
    for customer, product, pieces, due, free in planned - wanted:
        what = f"{pieces}{_free(free)} are planned for {case.clock(due)}, which is not in the order book"
        yield Violation(KIND, f"{customer}'s {product}", what)


def _free(allergens: tuple[str, ...]) -> str:
    return f" free from {', '.join(allergens)}" if allergens else ""
