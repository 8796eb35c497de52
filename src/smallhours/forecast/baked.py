"""The bake, for every member, from the baker's own: moved by size, start, height above the sea and oven.

    length = own length x (size part)^(k/2) x start and boiling point x oven x how the oven bakes that day

Size, start and boiling point are the exact series of ``science.baking``, in which the size counts squared (k = 2); k is
drawn, for where the oven's own resistance counts it is less. A piece that has risen less is not taken for a quicker
one: it is smaller, but it also conducts worse.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.bakery.formula.document import Stage
from smallhours.forecast.bake_shape import baking_sides, one_side_mm, surface_per_volume
from smallhours.forecast.conditions import OvenKind
from smallhours.forecast.course import BAKED_C, OVEN_SPRING
from smallhours.forecast.oven import OvenBake, OvenChange, crust_ratio, oven_change
from smallhours.forecast.stage_steps import Step, kept_length_s
from smallhours.forecast.walk import Dough
from smallhours.science.altitude import boiling_at_altitude_c
from smallhours.science.bake_loss import scaled_loss_fraction
from smallhours.science.baking import Bake, Direction, highest_core_c, time_to_core_s

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_COLDEST_START_C, _WARMEST_START_C = -19.0, 59.0
_NODES, _APART_K = 7, 0.1
_ANY_DIFFUSIVITY = 1e-6  # it cancels out
_CRUSTED = 0.5  # of the size: loss goes with the root of the time where a thick crust hinders the vapour
_TIMES, _SURFACES = (0.4, 2.5), (0.4, 2.5)  # beyond these ratios a loss is not moved further


@dataclass(frozen=True)
class _Aim:
    """A bake: what for a piece, to which core, where water boils, in which oven."""

    sides: tuple[Direction, ...]
    core_c: float
    boils_c: float
    kind: OvenKind
    set_c: float


@dataclass(frozen=True, eq=False)
class _Moved:
    """Ratios to the formula's own bake, (members + nudges,): by size, by start and boiling; surface for volume."""

    size: Floats
    start: Floats
    surface: Floats


def bake_stage(dough: Dough, stage: Stage, length_s: float) -> Step:
    """The bake: how long until the core is there, what it loses, how dark its crust gets; all against its own."""
    parameters = dough.parameters
    own, here = _aims(dough, stage)
    moved, oven = _moved(dough, own, here), _oven(dough, own, here)
    ratio = moved.size * moved.start * oven.time
    length = length_s * ratio * parameters.drawn("oven")
    kept_s = kept_length_s(dough, stage, length)
    low_s, high_s = stage.min_s or length_s, stage.max_s or length_s
    same = bool(abs(ratio[0] - 1.0) < 1e-9)
    step = Step(
        kept_s,
        length,
        low_s / length_s * length,
        high_s / length_s * length,
        "own reference" if same else "own reference, moved",
        "the formula's own bake" + ("" if same else f", moved by {_reasons(moved, oven, own, here)}"),
        here.set_c,
    )
    step.loss_ratio = _loss_ratio(dough, moved, oven, kept_s / length_s)
    logged, wanted = _oven_bake(dough, own), _oven_bake(dough, here)
    step.crust = crust_ratio(logged, wanted, parameters.drawn("crust"), length * 0.0 + kept_s / length_s)
    _leave(dough, step, here.core_c)
    return step


def piece_masses_g(dough: Dough) -> tuple[float, float]:
    """The mass of a piece as the formula means it and as it is here."""
    own, asked = dough.formula.output, dough.conditions.piece_mass_g
    usual = (None if own is None else own.piece_mass_g or own.baked_mass_g) or asked or dough.mass_g
    return usual, asked or usual


def _aims(dough: Dough, stage: Stage) -> tuple[_Aim, _Aim]:
    """The bake as the formula means it and as it is here."""
    conditions = dough.conditions
    kitchen = conditions.kitchen
    usual_g, here_g = piece_masses_g(dough)
    kinds = {oven.kind for oven in kitchen.ovens}
    kind: OvenKind = stage.oven or ("convection" if kinds == {"convection"} else "deck")
    set_c, height_m = stage.set_temp_c or 200.0, kitchen.altitude_m
    core_c = stage.core_temp_c or BAKED_C
    own = _aim(core_c, baking_sides(dough.formula, usual_g, usual_g, kitchen), height_m, kind, set_c)
    if conditions.as_written:
        return own, own
    sides = baking_sides(dough.formula, here_g, usual_g, kitchen)
    height_m = height_m if conditions.altitude_m is None else conditions.altitude_m
    asked_c = set_c if conditions.oven_c is None else conditions.oven_c
    here = _aim(conditions.bake_core_c or core_c, sides, height_m, conditions.oven or kind, asked_c)
    return own, here


def _aim(wanted_c: float, sides: tuple[Direction, ...], height_m: float, kind: OvenKind, set_c: float) -> _Aim:
    boils_c = boiling_at_altitude_c(height_m)
    core_c = min(wanted_c, float(highest_core_c(boils_c)))
    return _Aim(sides, max(core_c, (_WARMEST_START_C + 1.0 + boils_c) / 2.0), boils_c, kind, set_c)


def _moved(dough: Dough, own: _Aim, here: _Aim) -> _Moved:
    import numpy as np

    parameters = dough.parameters
    usual_g, here_g = piece_masses_g(dough)
    both = np.clip(dough.mean_c, _COLDEST_START_C, _WARMEST_START_C)
    nodes = np.linspace(both.max() + _APART_K, both.min() - _APART_K, _NODES)
    starts, meant = np.split(both, 2)
    if dough.conditions.goes_in_c is not None:
        starts = starts * 0.0 + dough.conditions.goes_in_c
        nodes = np.linspace(max(both.max(), starts[0]) + _APART_K, min(both.min(), starts[0]) - _APART_K, _NODES)
    nudges = np.unique(parameters.mass_ratio).tolist()
    sized = [
        here.sides if n == 1.0 else baking_sides(dough.formula, n * here_g, usual_g, dough.conditions.kitchen)
        for n in nudges
    ]
    pieces = [own.sides, *sized]
    spreads = _spreads(own, pieces, nodes)
    there = spreads if (here.core_c, here.boils_c) == (own.core_c, own.boils_c) else _spreads(here, pieces, nodes)
    meant_at, here_at = (np.log(aim.boils_c - rows) for aim, rows in ((own, meant), (here, starts)))
    own_at, there_at = (np.log(aim.boils_c - nodes) for aim in (own, here))
    usual = np.interp(meant_at, own_at, spreads[0])
    size, start, surface = np.ones((3, parameters.count))
    for nudge, sides, known, known_there in zip(nudges, sized, spreads[1:], there[1:], strict=True):
        these = parameters.mass_ratio == nudge
        grown = np.interp(meant_at[these], own_at, known)
        size[these] = (grown / usual[these]) ** (parameters.drawn("bake")[these] / 2.0)
        start[these] = np.interp(here_at[these], there_at, known_there) / grown
        surface[these] = surface_per_volume(sides) / surface_per_volume(own.sides)
    return _Moved(size, start, surface)


def _spreads(aim: _Aim, pieces: Sequence[Sequence[Direction]], starts_c: Floats) -> Floats:
    """Diffusivity x time until the core is there, (pieces, starts); between starts it runs straight in the logarithm of
    what is left to boiling, as the first term says."""
    import numpy as np

    sides = [
        Direction(alike[0].shape, np.asarray([[side.half_size_mm] for side in alike], dtype=np.float64))
        for alike in zip(*pieces, strict=True)
    ]
    bake = Bake(sides, starts_c, aim.core_c, aim.boils_c, max(aim.set_c, aim.core_c + 1.0))
    found: Floats = time_to_core_s(bake, _ANY_DIFFUSIVITY)
    return found


def _oven(dough: Dough, own: _Aim, here: _Aim) -> OvenChange:
    import numpy as np

    if (own.kind, own.set_c) == (here.kind, here.set_c):
        ones = np.ones(dough.parameters.count)
        return OvenChange(ones, ones)
    logged, wanted = (_oven_bake(dough, aim, own) for aim in (own, here))
    return oven_change(logged, wanted, dough.parameters.drawn("crumb"))


def _oven_bake(dough: Dough, aim: _Aim, piece: _Aim | None = None) -> OvenBake:
    """A bake in an oven; ``piece``: with the piece, core and boiling point of another one."""
    one = piece or aim
    meant_c = float(dough.mean_c[dough.parameters.count])
    start_c = min(max(meant_c, _COLDEST_START_C), _WARMEST_START_C)
    return OvenBake(one.sides[0].shape, one_side_mm(one.sides), start_c, one.core_c, one.boils_c, aim.kind, aim.set_c)


def _loss_ratio(dough: Dough, moved: _Moved, oven: OvenChange, time_ratio: float) -> Floats:
    """By how much more it loses than the formula says, if it is kept in the oven for so many times its own bake."""
    import numpy as np

    base, rest = 0.1, time_ratio / (moved.size * oven.time)
    sized = scaled_loss_fraction(base, np.clip(moved.size, *_TIMES), np.clip(moved.surface, *_SURFACES), _CRUSTED)
    longer = scaled_loss_fraction(base, np.clip(rest, *_TIMES), 1.0, dough.parameters.drawn("loss_power"))
    found: Floats = sized / base * longer / base * oven.loss
    return found


def _reasons(moved: _Moved, oven: OvenChange, own: _Aim, here: _Aim) -> str:
    told = []
    if abs(moved.size[0] - 1.0) > 1e-9:
        told.append("its size")
    if abs(moved.start[0] - 1.0) > 1e-9:
        alike = (own.boils_c, own.core_c) == (here.boils_c, here.core_c)
        told.append("how cold it goes in" if alike else "its start, its core and where water boils")
    if abs(oven.time[0] - 1.0) > 1e-9:
        told.append("the oven (a model, only for ratios)")
    return ", ".join(told)


def _leave(dough: Dough, step: Step, core_c: float) -> None:
    """Draw its course in the oven (drawn, not computed), and take it out."""
    import numpy as np

    members, kept_s, start = dough.parameters.members, step.kept_s, dough.here_c
    for share in np.linspace(0.25, 1.0, 4).tolist():
        temps = start + (core_c - start) * (1.0 - math.exp(-3.0 * share)) / (1.0 - math.exp(-3.0))
        rises = dough.rise * (1.0 + (OVEN_SPRING - 1.0) * min(share / 0.4, 1.0))
        step.curve.append((kept_s * share, temps[:members], rises[:members]))
    dough.rise = dough.rise * OVEN_SPRING
    dough.warm_through(np.full(2 * dough.parameters.count, core_c))
    dough.baked = True
    dough.t_s += kept_s
