"""A row of an order table: a date makes it a single order, weekdays a standing one."""

from __future__ import annotations

from typing import Any

from smallhours.actions.tables import cells
from smallhours.actions.tables.row import Names, Row, named
from smallhours.bakery.orders.document import Order, StandingOrder


def order_row(row: Row, names: Names) -> Order | StandingOrder:
    """The order in a row. Raises ValueError with what is wrong."""
    customer = row.text("customer")
    product = named(row.text("product"), names.products, "formula")
    row.text("pieces")
    pieces = cells.whole(row["pieces"], row.mark)
    row.text("due")
    due = cells.time(row["due"])
    said: dict[str, Any] = {"customer": customer, "product": product, "due": due, "pieces": pieces}
    free_from = cells.slugs(row["free_from"])
    if row["date"] is not None and row["days"] is not None:
        raise ValueError("has both a date and weekdays; leave one empty")
    if row["date"] is not None:
        return Order(**said, date=cells.date(row["date"]), free_from=free_from)
    if row["days"] is not None:
        return StandingOrder(**said, days=cells.days(row["days"]), free_from=free_from)
    raise ValueError("has neither a date nor weekdays; write one")
