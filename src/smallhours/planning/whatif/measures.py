"""What a plan comes to, in the few numbers by which nights are compared."""

from __future__ import annotations

from smallhours.planning.plan import Plan
from smallhours.planning.whatif.document import Cost, Measures, OrderThen


def measures(name: str, plan: Plan, note: str = "") -> Measures:
    """The measures of a plan; ``note``: what else is to be said of it."""
    orders = tuple(
        OrderThen(
            customer=o.customer,
            product=o.product,
            pieces=o.pieces,
            due=o.due,
            ready=o.ready,
            late_s=None if o.ready is None else o.late_s,
        )
        for o in plan.orders
    )
    waits = [max(0.0, (o.due - o.ready).total_seconds()) for o in plan.orders if o.ready is not None]
    late = next((level for level in plan.objective if "late" in level.terms), None)
    worked = [(hands.start, hands.end) for task in plan.tasks for hands in task.hands]
    return Measures(
        name=name,
        fits=bool(plan.tasks),
        note=note,
        late_orders=sum(o.late_s > 0 for o in plan.orders),
        late_s=sum(o.late_s for o in plan.orders),
        proven=late is not None and late.proven,
        people_s=_people_s(plan),
        hands_s=sum((end - start).total_seconds() for start, end in worked),
        first_start=min((start for start, _ in worked), default=None),
        waits_s=round(sum(waits) / len(waits), 1) if waits else 0.0,
        oven_s=sum((stretch.end - stretch.heat_from).total_seconds() for stretch in plan.ovens),
        orders=orders,
    )


def _people_s(plan: Plan) -> float:
    """From when to when people are needed; from first to last work where the plan does not say."""
    needed = [(piece.start, piece.end) for person in plan.people for piece in person.needed]
    if needed:
        return sum((end - start).total_seconds() for start, end in needed)
    total = 0.0
    for person in plan.people:
        mine = [(h.start, h.end) for task in plan.tasks for h in task.hands if h.person == person.id]
        if mine:
            total += (max(end for _, end in mine) - min(start for start, _ in mine)).total_seconds()
    return total


def more(after: Measures, before: Measures | None) -> Cost:
    """What one plan costs more than another (nothing, where there was none)."""
    if before is None or not before.fits or not after.fits:
        return Cost()
    names = ("people_s", "hands_s", "oven_s", "waits_s")
    return Cost(**{name: getattr(after, name) - getattr(before, name) for name in names})
