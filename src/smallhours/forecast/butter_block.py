"""Blocks of butter out of the fridge, one for each member of an ensemble: when is each pliable, when too soft?

As ``science.milk_fat.softening`` has it, for many blocks of one size at once: each in its own air and with its own
curve of melting.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist
from typing import TYPE_CHECKING

from smallhours.forecast.ensemble import HIGH, Ensemble
from smallhours.forecast.parameters import Parameters
from smallhours.reference.defaults import butter_melting
from smallhours.science.conduction import fourier_number, left_fraction, together_fraction
from smallhours.science.dough_temperature import Melting
from smallhours.science.milk_fat import Block, SolidWindow, heat_j_per_g
from smallhours.science.warming import biot_number

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

UNCERTAIN_FRACTION = 0.05
"""Four times in five the solid share lies this close to the table's [of the fat] (table butter_solids, judgement)."""
_LEAST_GAP_K = 0.1  # a room that is only this much warmer than what is wanted does not get there
_SURFACES, _TIMES, _LEAST_FOURIER = 9, 160, 1e-4


@dataclass(frozen=True, eq=False)
class Softness:
    """Where the butter of every member is as a window wants it [°C], each (members,): firm below, too soft above."""

    firm_c: Floats
    soft_c: Floats


def softness(ensemble: Ensemble, window: SolidWindow, melting: Melting | None = None) -> Softness:
    """Between which temperatures is the butter of each member as a window wants it?

    ``melting``: of this butter (the table's).
    Source: the curve read the other way; what is unsure is its height, by ``UNCERTAIN_FRACTION``.
    """
    import numpy as np

    temps, shares = zip(*(melting or butter_melting()).solid_at, strict=True)
    more = ensemble.values("butter") * UNCERTAIN_FRACTION / NormalDist().inv_cdf(HIGH)
    # a butter with more solids than the table's has the wanted share where the table has less
    rows = [
        np.interp(-(share - more), -np.array(shares), temps) for share in (window.high_fraction, window.low_fraction)
    ]
    return Softness(rows[0], rows[1])


def block_of(mass_g: float, thickness_mm: float | None, properties: tuple[float, float, float], on_rack: bool) -> Block:
    """A block of this mass; square if its thickness is given, else shaped as packs of butter are, 16 : 11 : 10.

    ``properties``: density [kg/m³], conductivity [W/(m K)] and specific heat without melting [J/(g K)].
    Raises: OutOfRange for a mass or thickness that is not positive.
    Source: the shape of a pack is a judgement.
    """
    density, conductivity, heat = properties
    volume_mm3 = mass_g / density * 1e6
    if thickness_mm is None:
        edge = (volume_mm3 / (1.6 * 1.1)) ** (1 / 3) if volume_mm3 > 0 else 0.0
        sides = 1.6 * edge, 1.1 * edge, edge
    else:
        side = (volume_mm3 / thickness_mm) ** 0.5 if thickness_mm > 0 and volume_mm3 > 0 else 0.0
        sides = side, side, thickness_mm
    return Block(*sides, density, conductivity, heat, on_rack)


def reached_s(
    block: Block, ensemble: Ensemble, melting: Melting, start_c: float, room_c: float, wanted_c: Floats, top: bool
) -> Floats:
    """When is the block of each member so warm, in its middle or in the middle of its top? [s]; infinite if never.

    Source: ``science.milk_fat.softening``: exact series of a brick, melting spread evenly from start to what is wanted.
    """
    import numpy as np

    able = room_c > wanted_c + _LEAST_GAP_K
    target = np.where(able, wanted_c, start_c + 0.5 * (room_c - start_c))
    surface = Parameters(ensemble).surface_w_per_m2_k("room")[: ensemble.members]
    heat = block.specific_heat_j_per_g_k
    capacity = np.array(
        [heat_j_per_g(melting, heat, start_c, to) / (to - start_c) if to > start_c else heat for to in target.tolist()]
    )
    wanted = np.clip((room_c - target) / (room_c - start_c) if room_c != start_c else target * 0, 0.0, 1.0)
    pace = _pace_s(block, surface, wanted, top) * capacity
    found: Floats = np.where(wanted_c <= start_c, 0.0, np.where(able, pace, np.inf))
    return found


def _pace_s(block: Block, surface_w_per_m2_k: Floats, wanted: Floats, top: bool) -> Floats:
    """When only so much of the step is left in each block, in s for a specific heat of 1 J/(g K).

    Over a few surfaces between the least and the greatest, and straight between them on scales of logarithms.
    """
    import numpy as np

    inner, half = block.conductivity_w_per_m_k, block.half_sizes_mm
    per_heat = inner / (block.density_kg_per_m3 * 1000.0)
    first = _LEAST_FOURIER * (max(half) / 1000.0) ** 2 / per_heat
    longest = 40.0 * (min(half) / 1000.0) ** 2 / per_heat * (1.0 + inner / (surface_w_per_m2_k.min() * min(half) / 1e3))
    times = np.geomspace(first, max(longest, 10.0 * first), _TIMES)
    surfaces = np.geomspace(surface_w_per_m2_k.min(), surface_w_per_m2_k.max() * 1.000001, _SURFACES)
    rows = []
    for surface in surfaces.tolist():
        left = together_fraction(
            *(
                left_fraction(
                    "slab",
                    biot_number(size, inner, surface),
                    fourier_number(times, size, per_heat),
                    1.0 if side else 0.0,
                )
                for size, side in zip(half, (False, False, top), strict=True)
            )
        )
        falling = np.minimum.accumulate(np.asarray(left)) - np.arange(_TIMES) * 1e-13
        rows.append(np.interp(-np.log(np.maximum(wanted, 1e-12)), -np.log(np.maximum(falling, 1e-13)), np.log(times)))
    table = np.array(rows)
    at = np.log(surface_w_per_m2_k / surfaces[0]) / np.log(surfaces[1] / surfaces[0])
    below = np.clip(at.astype(int), 0, _SURFACES - 2)
    columns = np.arange(wanted.size)
    lower, upper = table[below, columns], table[below + 1, columns]
    found: Floats = np.exp(lower + (upper - lower) * (at - below))
    return found
