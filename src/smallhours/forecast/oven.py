"""What another oven or another set temperature changes: time, water lost, crust; by the model oven, for every member.

Only ratios of two bakes of the same dough are taken from the model. How well the crumb conducts is what decides by how
much, so it is drawn: the model runs at the low, usual and high figure of the table, and each member lies between them.
"""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from smallhours.forecast.conditions import OvenKind
from smallhours.reference.bake_defaults import baking_dough, baking_dough_figure, browning
from smallhours.reference.defaults import heat_transfer_w_per_m2_k
from smallhours.science.crust_colour import same_colour_time_ratio
from smallhours.science.evaporation_front import BakeCourse, course_until_core
from smallhours.science.warming import Shape

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_Z80 = 1.2815515655446004
_POINTS = 15  # against 30: ratios within 0.01
_TRIED_M2_PER_S = 0.5e-6  # the slowest crumb of the model takes about that long
_LEAST_MM, _MOST_MM = 5.0, 150.0
_LEAST_LOSS, _MOST_LOSS = 0.5, 2.0


@dataclass(frozen=True)
class OvenBake:
    """A bake in a kind of oven at a set temperature: a piece, its start, its core at the end."""

    shape: Shape
    half_size_mm: float
    start_c: float
    core_c: float
    boiling_c: float
    kind: OvenKind
    oven_c: float

    def rounded(self) -> OvenBake:
        """The same to half a millimetre and half a kelvin, so that alike bakes are reckoned once."""
        size = min(max(round(self.half_size_mm * 2) / 2, _LEAST_MM), _MOST_MM)
        return dataclasses.replace(self, half_size_mm=size, start_c=round(self.start_c * 2) / 2)


@dataclass(frozen=True, eq=False)
class OvenChange:
    """What one oven changes against another, (members,): ratios of the time until the core is there and of the loss."""

    time: Floats
    loss: Floats


def oven_change(logged: OvenBake, wanted: OvenBake, crumb: Floats) -> OvenChange:
    """The ratios of time and loss, for members whose crumb conducts so well (``crumb``: in standard deviations).

    Raises: Impossible for an oven that does not bring the core there.
    Source: ``science.evaporation_front``, two bakes of the same dough, at three conductivities of the hot crumb.
    """
    before, after = _course(logged.rounded()), _course(wanted.rounded())
    t0, t1 = before.time_at_core_s(logged.core_c), after.time_at_core_s(wanted.core_c)
    loss = after.lost_at_fraction(t1) / before.lost_at_fraction(t0).clip(1e-6)
    return OvenChange(_between(t1 / t0, crumb), _between(loss, crumb).clip(_LEAST_LOSS, _MOST_LOSS))


def crust_ratio(logged: OvenBake, wanted: OvenBake, share: Floats, time_ratio: Floats) -> Floats:
    """How many times as much a crust browns, if the bake in the wanted oven takes ``time_ratio`` as long, (members,).

    1: as dark as the logged bake. ``share``: how far a crust in a deck oven is on its way from boiling to the oven's
    temperature (0 to 1). Sugar, wash and steam are as in the logged bake.
    Raises: OutOfRange.
    Source: rate of ``science.crust_colour``; the crust between the oven's air and the water behind it, as resistances.
    """
    found: Floats = time_ratio * same_colour_time_ratio(
        _crust_c(wanted, share), _crust_c(logged, share), browning().activation_j_per_mol
    )
    return found


def _crust_c(bake: OvenBake, share: Floats) -> Floats:
    import numpy as np

    outer = transfer_w_per_m2_k(bake.kind) / transfer_w_per_m2_k("deck")
    here = outer * share / (outer * share + 1.0 - share)
    found: Floats = np.clip(bake.boiling_c + here * (bake.oven_c - bake.boiling_c), 100.0, 260.0)
    return found


def transfer_w_per_m2_k(kind: OvenKind) -> float:
    """The usual heat transfer in a kind of oven."""
    return heat_transfer_w_per_m2_k(f"oven-{kind}").usual


def _between(nodes: Floats, crumb: Floats) -> Floats:
    import numpy as np

    found: Floats = np.interp(crumb, [-_Z80, 0.0, _Z80], nodes)
    return found


@lru_cache(maxsize=64)
def _course(bake: OvenBake) -> BakeCourse:
    """The course of a bake at the low, usual and high conductivity of the hot crumb."""
    import numpy as np

    hot = baking_dough_figure("hot-conductivity")
    dough = dataclasses.replace(baking_dough(), hot_conductivity_w_per_m_k=np.asarray([hot.low, hot.usual, hot.high]))
    first_s = max(300.0, (bake.half_size_mm / 1000.0) ** 2 / _TRIED_M2_PER_S * math.pi / 4)
    oven = transfer_w_per_m2_k(bake.kind), bake.oven_c
    return course_until_core(
        bake.shape, bake.half_size_mm, dough, oven, bake.start_c, bake.core_c, bake.boiling_c, _POINTS, first_s
    )
