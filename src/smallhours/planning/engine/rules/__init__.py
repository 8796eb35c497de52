"""The rules of a plan, one function each; the id is what an explanation shows."""

from __future__ import annotations

from collections.abc import Callable

from smallhours.planning.engine.model import Model
from smallhours.planning.engine.rules.capacity import capacity
from smallhours.planning.engine.rules.changes import changes
from smallhours.planning.engine.rules.lags import lags
from smallhours.planning.engine.rules.modes import needs, place
from smallhours.planning.engine.rules.states import states

RULES: dict[str, Callable[[Model], None]] = {
    "place": place,
    "needs": needs,
    "lags": lags,
    "states": states,
    "changes": changes,
    "capacity": capacity,
}
