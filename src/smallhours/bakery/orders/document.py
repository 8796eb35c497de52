"""Orders: standing ones by weekday, single ones by date, days on which the bakery is closed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from pydantic import Field

from smallhours.bakery.document import Document, Slug, Words
from smallhours.bakery.kitchen.document import DAYS, Day
from smallhours.errors import Fault

MOST_PIECES = 1_000_000


class StandingOrder(Document):
    """The same order on the same weekdays. ``due`` is a time on the kitchen's clock; ``pieces`` is what is sold.

    ``free_from``: allergens that mixers and benches are to be clean of when these pieces are made, beyond what the
    formula says: a wish to the plan, no promise to anybody who eats them.
    """

    customer: Words
    product: Slug
    days: tuple[Day, ...] = DAYS
    due: dt.time
    pieces: int = Field(ge=0, lt=MOST_PIECES)
    free_from: tuple[Slug, ...] = ()


class Order(Document):
    """One order for one day. It takes the place of a standing order of the same customer, product and due time.

    ``free_from`` as in a standing order; what the standing order in its place wants to be free from still holds.
    """

    customer: Words
    product: Slug
    date: dt.date
    due: dt.time
    pieces: int = Field(ge=0, lt=MOST_PIECES)
    free_from: tuple[Slug, ...] = ()


class OrderBook(Document):
    """All orders a bakery holds."""

    standing: tuple[StandingOrder, ...] = ()
    single: tuple[Order, ...] = ()
    closed: tuple[dt.date, ...] = ()

    def on(self, date: dt.date) -> tuple[Order, ...]:
        """The orders for one day: standing ones of that weekday, with single ones in their place; none when closed.

        Orders for 0 pieces cancel a standing order and are left out.
        """
        if date in self.closed:
            return ()
        weekday = DAYS[date.weekday()]
        orders: dict[tuple[str, str, dt.time], Order] = {}
        for s in self.standing:
            if weekday in s.days:
                key = (s.customer, s.product, s.due)
                before = orders[key].pieces if key in orders else 0
                orders[key] = Order(
                    customer=s.customer,
                    product=s.product,
                    date=date,
                    due=s.due,
                    pieces=before + s.pieces,
                    free_from=_together(orders.get(key), s),
                )
        replaced: set[tuple[str, str, dt.time]] = set()
        for o in self.single:
            if o.date == date:
                key = (o.customer, o.product, o.due)
                before = orders[key].pieces if key in replaced else 0
                replaced.add(key)
                both = _together(orders.get(key), o)
                orders[key] = o.model_copy(update={"pieces": before + o.pieces, "free_from": both})
        return tuple(sorted((o for o in orders.values() if o.pieces), key=lambda o: (o.due, o.customer, o.product)))

    def products(self) -> frozenset[str]:
        """Every product somebody orders."""
        return frozenset([o.product for o in self.standing] + [o.product for o in self.single])

    def faults(self) -> Iterable[Fault]:
        return ()


def _together(before: Order | None, order: Order | StandingOrder) -> tuple[str, ...]:
    """What two orders of one customer, product and due time have to be free from: nothing is forgotten."""
    return tuple(sorted({*(before.free_from if before else ()), *order.free_from}))
