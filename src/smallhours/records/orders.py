"""Single cells of the order book: what one order is on one day or weekday, whether a day is closed.

Actions call these in a transaction, after having looked at what is there.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

import smallhours.records.configured  # noqa: F401  (before the first model)
from smallhours.bakery.orders.document import Order
from smallhours.bakery.orders.lines import OrderKey, StandingLine, standing_orders
from smallhours.records.mapping import single_row, standing_row
from smallhours.records.models import ClosedDay, LogLine, SingleRow, StandingRow


def put_single(key: OrderKey, date: dt.date, order: Order | None) -> None:
    """Make this the only order of that key for that date; None: there is none."""
    SingleRow.objects.filter(**key._asdict(), date=date).delete()
    if order is not None:
        single_row(order).save()


def put_standing(line: StandingLine) -> None:
    """Make this all that stands under the line's key and wish; a line without days takes it away."""
    for row in StandingRow.objects.filter(**line.key._asdict()):
        if tuple(sorted(row.free_from)) == line.free_from:
            row.delete()
    StandingRow.objects.bulk_create([standing_row(order) for order in standing_orders(line)])


def put_closed(dates: Iterable[dt.date], closed: bool) -> int:
    """Close or open days; how many of them were not so before."""
    wanted = set(dates)
    there = set(ClosedDay.objects.filter(date__in=wanted).values_list("date", flat=True))
    if not closed:
        ClosedDay.objects.filter(date__in=wanted).delete()
        return len(there)
    ClosedDay.objects.bulk_create([ClosedDay(date=date) for date in sorted(wanted - there)])
    return len(wanted - there)


def last_touch(kind: str = "orders") -> tuple[str, dt.datetime] | None:
    """Who wrote to documents of a kind last, and when."""
    row = LogLine.objects.filter(kind=kind).order_by("-id").first()
    return None if row is None else (row.author, row.at)
