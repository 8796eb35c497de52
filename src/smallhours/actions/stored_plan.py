"""A plan as the store keeps it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from smallhours.errors import DocumentError, Fault
from smallhours.planning.plan import Plan
from smallhours.records.queries import KeptPlan


@dataclass(frozen=True)
class StoredPlan:
    """A plan, its id in the store, and the revisions it was made from."""

    id: int
    plan: Plan
    made_at: dt.datetime
    author: str
    published: bool
    made_from: Mapping[str, Any]

    @property
    def late(self) -> bool:
        """Whether an order is late or cannot be made."""
        return any(order.late_s > 0 or order.ready is None for order in self.plan.orders)


def stored_plan(kept: KeptPlan) -> StoredPlan:
    """The plan in a row. Raises DocumentError if it was written in another schema."""
    try:
        plan = Plan.model_validate(kept.body)
    except ValidationError as error:
        faults = [Fault(".".join(map(str, e["loc"])), e["msg"]) for e in error.errors(include_url=False)[:5]]
        raise DocumentError(f"plan {kept.id} of the night to {kept.night}", faults) from None
    return StoredPlan(kept.id, plan, kept.made_at, kept.author, kept.published, kept.made_from)
