"""The odds of a plan in a sentence."""

from __future__ import annotations

from smallhours.planning.odds.document import NightOdds, OrderOdds
from smallhours.planning.plan import Plan


def count_of_100(share: float) -> int:
    """A share as a count of a hundred nights; never 0 or 100 where it is not.

    >>> [count_of_100(share) for share in (0.934, 0.998, 0.001, 1.0)]
    [93, 99, 1, 100]
    """
    count = round(100 * share)
    if share < 1:
        count = min(count, 99)
    return max(count, 1) if share > 0 else count


def of_100(share: float) -> str:
    """The same in words.

    >>> of_100(0.934)
    '93 of 100'
    """
    return f"{count_of_100(share)} of 100"


def name_of(plan: Plan, what: str) -> str:
    """What people call a resource, a person or a batch."""
    named = {resource.id: resource.name for resource in plan.resources}
    named |= {person.id: person.name for person in plan.people} | {batch.id: batch.name for batch in plan.batches}
    return named.get(what, what)


def in_a_line(plan: Plan, odds: NightOdds) -> str:
    """One line: how often all is on time, how many orders are on average, and which is the weakest."""
    told = f"Everything is on time in {of_100(odds.all_on_time)} nights like this"
    if not odds.orders:
        return f"{told}."
    if odds.all_on_time < 1:
        mean = sum(order.on_time for order in odds.orders) / len(odds.orders)
        told += f", an order in {of_100(mean)} on average"
    if odds.weakest is None or odds.orders[odds.weakest].on_time >= 1:
        return f"{told}."
    return f"{told}; weakest: {weak_order(plan, odds.orders[odds.weakest])}."


def weak_order(plan: Plan, order: OrderOdds) -> str:
    """An order, its chance, and what it most often waits for."""
    lots = {lot.product: lot.name for batch in plan.batches for lot in batch.lots}
    waits = f", mostly for {name_of(plan, order.waits_on)}" if order.waits_on else ""
    return f"{lots.get(order.product, order.product)} for {order.customer} ({of_100(order.on_time)}{waits})"
