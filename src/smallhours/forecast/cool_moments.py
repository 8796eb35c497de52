"""When bread out of the oven can be cut, glazed and packed, for every member: no reference says, only physics.

A topping is taken for what its part holds: with much fat for an icing that melts, else for a sugar one. A dough of its
own fat and sugar has a soft crust, damp under a bag; a lean one a dry crust.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.bakery.formula import nutrients
from smallhours.bakery.formula.amounts import Amounts
from smallhours.bakery.formula.balance import balance
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput
from smallhours.forecast.cooled import Cooling
from smallhours.forecast.ensemble import Ensemble, estimates, share_of
from smallhours.forecast.parameters import Parameters
from smallhours.forecast.stage_forecast import Moment, MomentName
from smallhours.reference.bake_defaults import cooled_core_c, topping
from smallhours.science.cooling_bread import glazing_window_s, packable_below_c

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

TOPPINGS = ("sugar-glaze-thin", "fondant", "cream-cheese-icing", "butter-icing", "chocolate", "hot-syrup")
LONGEST_S = 12 * 3600.0
_ICED_FROM_FRACTION = 0.1  # fat in a topping from which it melts rather than flows (judgement)
# humidity that crusts are in balance with: a dry one 0.5 to 0.7, a soft one over 0.9 (judgement), as middle and spread
_DRY_CRUST, _SOFT_CRUST = (0.60, 0.078), (0.94, 0.02)
_LEAST_HUMIDITY, _MOST_HUMIDITY = 0.35, 0.99


@dataclass(frozen=True)
class Finish:
    """How bread is finished: ``topping``: a key of table ``toppings``; ``soft``: its crust."""

    topping: str | None
    soft: bool


def finish_of(formula: Formula, pantry: Pantry, amounts: Amounts, asked: str | None = None) -> Finish:
    """What a formula says of its finish: a glaze that goes on after the bake, how rich its dough is.

    ``asked``: a topping in place of its own.
    """
    try:
        soft = balance(formula, pantry).dough_class != "lean"
    except BadInput:  # without flour
        soft = True
    if asked is not None:
        return Finish(asked, soft)
    stages = formula.stages_of(formula.main)
    baked = next((n for n, stage in enumerate(stages) if stage.kind == "bake"), len(stages))
    used = [part for stage in stages[baked:] for part in stage.uses if formula.part(part).kind in ("glaze", "topping")]
    if not used:
        return Finish(None, soft)
    held = amounts.ingredients(used[0])
    fat_g = sum(mass * (nutrients.fat(pantry.find(key)) or 0.0) for key, mass in held.items())
    iced = fat_g >= _ICED_FROM_FRACTION * sum(held.values())
    return Finish("cream-cheese-icing" if iced else "fondant", soft)


def moments_of(
    cooling: Cooling, parameters: Parameters, finish: Finish, film_c: float | None = None, cut_c: float | None = None
) -> tuple[Moment, ...]:
    """When it can be cut, packed and, if it has a topping, glazed.

    ``film_c``: the coldest place a closed bag will lie in (the room); ``cut_c``: how cool a core has to be to be cut
    (table ``cooled_core``).
    """
    import numpy as np

    wanted = cooled_core_c("cut").usual if cut_c is None else cut_c
    packed_c = _packable_c(cooling, parameters, finish, film_c)
    rows: list[tuple[MomentName, Floats, Floats]] = [
        ("cut", cooling.core_cool_s(cooling.room_c * 0.0 + wanted), cooling.room_c * 0.0 + wanted),
        ("pack", cooling.mean_cool_s(packed_c), packed_c),
    ]
    if finish.topping is not None:
        known = topping(finish.topping)
        cold = cooling.room_c < known.runs_off_above_c
        room = np.where(cold, cooling.room_c, known.runs_off_above_c - 1.0)
        window = glazing_window_s(
            cooling.shape,
            cooling.constant_s,
            cooling.biot,
            cooling.start_c,
            room,
            known.runs_off_above_c,
            known.stiff_below_c,
        )
        limits = (known.runs_off_above_c, known.stiff_below_c)
        names: tuple[MomentName, MomentName] = ("glaze from", "glaze until")
        for name, found, limit in zip(names, window, limits, strict=True):
            rows.append((name, np.where(cold, found, np.inf), cooling.room_c * 0.0 + limit))
    return tuple(_moment(name, found, temp, parameters.ensemble) for name, found, temp in rows)


def _moment(name: MomentName, found: Floats, temp: Floats, ensemble: Ensemble) -> Moment:
    length = found[: ensemble.members]
    told = estimates({"after": length.clip(0.0, LONGEST_S), "temp": temp[: ensemble.members]}, ensemble.weights)
    return Moment(name, told["after"], told["temp"], share_of(length <= LONGEST_S, ensemble.weights))


def _packable_c(cooling: Cooling, parameters: Parameters, finish: Finish, film_c: float | None) -> Floats:
    import numpy as np

    middle, spread = _SOFT_CRUST if finish.soft else _DRY_CRUST
    humidity = np.clip(middle + spread * parameters.drawn("crust_air"), _LEAST_HUMIDITY, _MOST_HUMIDITY)
    film = cooling.room_c if film_c is None else cooling.room_c * 0.0 + film_c
    return packable_below_c(np.clip(film, 0.0, 60.0), humidity)
