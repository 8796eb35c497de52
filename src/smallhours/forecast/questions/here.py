"""What questions about a kitchen are asked of that need no formula, or only look into one."""

from __future__ import annotations

from dataclasses import dataclass, field

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.ensemble import Ensemble, draw
from smallhours.forecast.questions.answer import Asked


@dataclass(frozen=True)
class Here:
    """This kitchen and today, with or without a (joined) formula."""

    pantry: Pantry
    conditions: Conditions
    ensemble: Ensemble = field(default_factory=draw)
    formula: Formula | None = None

    @property
    def formula_id(self) -> str:
        """The formula's id; empty without one."""
        return "" if self.formula is None else self.formula.id

    def asked(self) -> Asked:
        """The same, asked of the formula. Raises BadInput if there is none."""
        if self.formula is None:
            raise BadInput("this question is about a formula: say which")
        return Asked(self.formula, self.pantry, self.conditions, self.ensemble)

    def room_c(self) -> float:
        """The room when the mixing begins; without a start, the kitchen's single figure."""
        import numpy as np

        return float(self.conditions.place_c("room", np.zeros(1), 0.0, None)[0])

    def fridge_c(self) -> float:
        """The fridge."""
        import numpy as np

        return float(self.conditions.place_c("fridge", np.zeros(1), 0.0, None)[0])
