"""Can what is ordered be free from what it is said to be free from?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.free_from import claim_faults
from smallhours.bakery.orders.document import Order
from smallhours.bakery.pantry import Pantry
from smallhours.errors import DocumentError, Fault


def check_claims(orders: Sequence[Order], formulas: Mapping[str, Formula], pantry: Pantry) -> None:
    """Raises DocumentError for every product or order that has to be free from what it holds.

    ``formulas``: joined, of every ordered product.
    """
    faults: list[Fault] = []
    for name in dict.fromkeys(order.product for order in orders):
        faults += (Fault(f"product {name!r}", fault.what) for fault in claim_faults(formulas[name], pantry))
    for number, order in enumerate(orders, 1):
        own = [claim for claim in order.free_from if claim not in formulas[order.product].free_from]
        where = f"order {number} ({order.customer}, {order.product})"
        faults += (Fault(where, fault.what) for fault in claim_faults(formulas[order.product], pantry, own))
    if faults:
        raise DocumentError("orders", faults)
