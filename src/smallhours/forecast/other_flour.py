"""What a flour that takes more water, or less, does to how fast its dough rises, against the baker's own reference.

The dough is as firm as before, by what absorption means. In more of it the same yeast makes less gas for each litre,
and its sugar and salt are thinner in its water, so that they slow the yeast less.
"""

from __future__ import annotations

import math
from contextlib import suppress

from smallhours.bakery.formula.amounts import Amounts, unit_amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.leaven import leaven_of
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.formula_forecast import own_yeast_percent
from smallhours.forecast.osmotic import dissolved, of_kind_percent


def with_other_flour(conditions: Conditions, own: Formula, changed: Formula, pantry: Pantry) -> Conditions:
    """Conditions under which a (joined) formula rises as it does once its liquid follows the flour.

    ``changed``: the formula with the liquid that the flour wants. Yeast is given in proportion to the mass of dough,
    sugar and salt so that they are as strong in the formula's own water as they are in the changed one's. What nothing
    living raises stays as it is.

    Raises: BadInput for a formula without flour; and as ``unit_amounts``.
    Source: definition of absorption; concentrations are mass over mass, exact.
    """
    before, after = (unit_amounts(one, pantry, pieces=1) for one in (own, changed))
    if not leaven_of(before, pantry, own.main).living:
        return conditions
    water = [dissolved(amounts, pantry, amounts.formula.main).water_percent for amounts in (before, after)]
    thinner = water[0] / water[1] if water[1] > 0 else 1.0
    by_kind = {kind: of_kind_percent(before, pantry, own.main, kind) for kind in ("sugar", "salt")}
    yeast_percent = conditions.yeast_percent
    with suppress(BadInput):  # a culture is fed, not dosed
        yeast_percent = own_yeast_percent(own, pantry) * _per_flour(before) / _per_flour(after)
    return conditions.having(
        yeast_percent=yeast_percent,
        sugar_percent=by_kind["sugar"] * thinner,
        salt_percent=by_kind["salt"] * thinner,
    )


def _per_flour(amounts: Amounts) -> float:
    """Mass of the main part for each gram of flour in it."""
    return math.fsum(amounts.ingredients(amounts.formula.main).values()) / amounts.flour_g
