"""What shape a piece has about the middle of its bake: the directions along which heat comes in."""

from __future__ import annotations

import math
from collections.abc import Sequence

from smallhours.bakery.formula.document import Formula, Shaping, Stage
from smallhours.bakery.kitchen.document import Kitchen, Pan
from smallhours.errors import OutOfRange
from smallhours.forecast.course import OVEN_SPRING, target_rise
from smallhours.forecast.sizes import DENSITY_G_PER_MM3, LENGTH_OVER_DIAMETER, flat_area_mm2
from smallhours.science.baking import Direction
from smallhours.science.conduction import roots_rad
from smallhours.science.warming import Shape

# a round that stands free, once risen: 50 mm high and 90 mm wide in a published bake (Zhang et al. 2005)
HEIGHT_OVER_WIDTH = 50 / 90
_DIMENSIONS: dict[Shape, int] = {"slab": 1, "cylinder": 2, "sphere": 3}


def baking_sides(formula: Formula, mass_g: float, usual_g: float, kitchen: Kitchen) -> tuple[Direction, ...]:
    """The directions along which heat reaches a piece of this mass, in the formula's shape.

    ``usual_g``: the mass that the formula means. What fills a tin, one piece or several that touch, is a box and gets
    higher with its mass; what lies flat gets thicker; logs of a length get thicker; all else keeps its proportions.
    Raises: OutOfRange for a mass that is not above 0.
    """
    if not (math.isfinite(mass_g) and mass_g > 0):
        raise OutOfRange(f"the mass of a piece must be more than 0 g (found {mass_g})")
    shaping = formula.shaping or Shaping()
    pan = next((p for p in kitchen.pans if p.id == formula.pan), None)
    volume = grown_mm3(formula, mass_g)
    if pan is not None and pan.kind == "tin" and pan.length_mm and pan.width_mm:
        high = volume * formula.pieces_per_pan / (pan.length_mm * pan.width_mm)
        return _box(pan.length_mm, pan.width_mm, high)
    sheet, usual = shaping.sheet, grown_mm3(formula, usual_g)
    if sheet is not None and sheet.slice_width_mm and sheet.roll_along:
        wide = sheet.slice_width_mm * (usual * DENSITY_G_PER_MM3 / usual_g * mass_g / usual_g) ** (1 / 3)
        return Direction("cylinder", math.sqrt(volume / wide / math.pi)), Direction("slab", wide / 2)
    match shaping.form:
        case "flat" | "cut" if shaping.form == "flat" or sheet is not None or shaping.piece_length_mm:
            return (Direction("slab", volume / flat_area_mm2(formula, shaping, pan) / 2),)
        case "round":
            radius = (volume / (2 * math.pi * HEIGHT_OVER_WIDTH)) ** (1 / 3)
            return Direction("cylinder", radius), Direction("slab", radius * HEIGHT_OVER_WIDTH)
        case "scoop" | "cut":
            return (Direction("sphere", (3 * volume / (4 * math.pi)) ** (1 / 3)),)
        case _:
            return _log(volume, _length_mm(shaping, pan))


def baked_rise(formula: Formula) -> float:
    """How large a piece is about mid-bake, as the formula means it: volume over volume after mixing."""
    stages: list[Stage] = [stage for stage in formula.stages_of(formula.main) if stage.kind != "bake"]
    rises = [rise for rise in map(target_rise, stages) if rise is not None]
    return (rises[-1] if rises else 1.0) * OVEN_SPRING


def grown_mm3(formula: Formula, mass_g: float) -> float:
    """The volume of a piece about mid-bake."""
    return mass_g / DENSITY_G_PER_MM3 * baked_rise(formula)


def surface_per_volume(sides: Sequence[Direction]) -> float:
    """Surface over volume of a piece, 1/mm.

    >>> surface_per_volume([Direction("sphere", 30.0)])
    0.1
    """
    return sum(_DIMENSIONS[side.shape] / _half_mm(side) for side in sides)


def one_side_mm(sides: Sequence[Direction], shape: Shape | None = None) -> float:
    """Half the size of a piece of one shape (the first side's) that heats as fast as one with all these sides.

    Source: first term of the series; what each direction lets go adds up.
    """
    first = float(roots_rad(shape or sides[0].shape, math.inf)[0])
    rate = sum((float(roots_rad(s.shape, math.inf)[0]) / _half_mm(s)) ** 2 for s in sides)
    return first / math.sqrt(rate)


def _length_mm(shaping: Shaping, pan: Pan | None) -> float | None:
    sheet = shaping.sheet
    if sheet is not None and sheet.slice_width_mm:  # strips across a sheet that is not rolled up
        return sheet.width_mm
    in_tin = pan.length_mm if pan is not None and pan.kind == "tin" else None
    return shaping.piece_length_mm or in_tin or shaping.strand_length_mm


def _log(volume: float, length_mm: float | None) -> tuple[Direction, ...]:
    long = length_mm or LENGTH_OVER_DIAMETER * (4 * volume / (math.pi * LENGTH_OVER_DIAMETER)) ** (1 / 3)
    return Direction("cylinder", math.sqrt(volume / (math.pi * long))), Direction("slab", long / 2)


def _box(*edges_mm: float) -> tuple[Direction, ...]:
    return tuple(Direction("slab", edge / 2) for edge in sorted(edges_mm))


def _half_mm(side: Direction) -> float:
    import numpy as np

    return float(np.asarray(side.half_size_mm, dtype=np.float64))
