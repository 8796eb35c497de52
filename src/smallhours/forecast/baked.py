"""How long the bake takes for every member, from the baker's own: moved by size, start and boiling point."""

from __future__ import annotations

import math

from smallhours.bakery.formula.document import Stage
from smallhours.forecast.course import BAKED_C, OVEN_SPRING
from smallhours.forecast.stage_steps import Step, kept_length_s
from smallhours.forecast.walk import Dough
from smallhours.science.altitude import boiling_at_altitude_c

# what conduction's first term starts with in the middle of a slab, a long cylinder and a sphere
_FIRST_TERM = {"slab": 4.0 / math.pi, "cylinder": 1.602, "sphere": 2.0}


def bake_stage(dough: Dough, stage: Stage, length_s: float) -> Step:
    """The bake: anchored to the formula's own, moved by size, start temperature and boiling point."""
    import numpy as np

    count, parameters = dough.parameters.count, dough.parameters
    boils_c = boiling_at_altitude_c(dough.conditions.kitchen.altitude_m)
    core_c = min(stage.core_temp_c or BAKED_C, boils_c - 1.0)
    grown = dough.size("oven", False).radius_mm / dough.size("oven", True).radius_mm
    mass = parameters.mass_ratio**dough.mass_power
    here, meant = (np.minimum(rows, core_c - 1.0) for rows in (dough.here_c, dough.mean_c[count:]))
    first = _FIRST_TERM[dough.size("oven", True).shape] / (boils_c - core_c)
    start = np.log(first * (boils_c - here)) / np.log(first * (boils_c - meant))
    ratio = (grown * mass) ** parameters.drawn("bake") * start
    low_s, high_s = stage.min_s or length_s, stage.max_s or length_s
    kept_s = kept_length_s(dough, stage, length_s * ratio)
    same = bool(abs(ratio[0] - 1.0) < 1e-9)
    because = "the formula's own bake" + ("" if same else ", moved by its size and how cold it goes in")
    step = Step(kept_s, length_s * ratio, low_s * ratio, high_s * ratio, "own reference", because)
    step.basis = "own reference" if same else "own reference, moved"
    step.air_c = stage.set_temp_c
    for share in np.linspace(0.25, 1.0, 4).tolist():
        temps = here + (core_c - here) * (1.0 - math.exp(-3.0 * share)) / (1.0 - math.exp(-3.0))
        rises = dough.rise * (1.0 + (OVEN_SPRING - 1.0) * min(share / 0.4, 1.0))
        step.curve.append((kept_s * share, temps[: parameters.members], rises[: parameters.members]))
    dough.rise = dough.rise * OVEN_SPRING
    dough.warm_through(np.full(2 * count, core_c))
    dough.baked = True
    dough.t_s += kept_s
    return step
