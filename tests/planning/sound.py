"""What an outsider finds wrong with a plan: its JSON read back, and checked against the documents given."""

from __future__ import annotations

from collections.abc import Mapping

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import OrderBook
from smallhours.bakery.pantry import Pantry
from smallhours.planning.check.case import Documents
from smallhours.planning.check.reading import read_plan
from smallhours.planning.check.whole import violations
from smallhours.planning.plan import Plan


def wrong_with(
    plan: Plan,
    kitchen: Kitchen | None = None,
    formulas: Mapping[str, Formula] | None = None,
    orders: OrderBook | None = None,
    pantry: Pantry | None = None,
) -> list[str]:
    """Everything that is wrong with a plan, a sentence each. ``formulas``: by id, as written."""
    whole = None if formulas is None else {n: joined(f, formulas.__getitem__) for n, f in formulas.items()}
    documents = Documents(kitchen, whole, orders, pantry or Pantry())
    return [str(v) for v in violations(read_plan(plan.model_dump_json().encode(), "plan"), documents)]
