"""How thick a piece or a bulk of dough is, which decides how fast it takes the temperature of its place."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from smallhours.bakery.formula.document import Formula, Shaping
from smallhours.bakery.kitchen.document import Kitchen, Pan
from smallhours.errors import OutOfRange

Shape = Literal["slab", "cylinder", "sphere"]

# degassed dough as it leaves the bench: 1.10 to 1.20 g/cm3 (common practice)
DENSITY_G_PER_MM3 = 1.15e-3
# share of the heat that its underside passes on, compared with the top: a tray on a rack hinders the air, a tub
# standing on something hinders it more. Judgements: they are absorbed by the time constant once that is learned.
UNDERSIDE_ON_TRAY = 0.5
UNDERSIDE_OF_TUB = 0.2
# a full bakery tray, where the kitchen's pans do not say: 600 x 400 mm, inside 580 x 380 (common practice)
TRAY_AREA_MM2 = 580.0 * 380.0
# a piece that is only said to be long: so many diameters. Judgement.
LENGTH_OVER_DIAMETER = 4.0


@dataclass(frozen=True)
class Size:
    """A dough as heat sees it.

    ``radius_mm``: half thickness of a slab cooled on both sides, radius of a cylinder or sphere. It stands for
    volume over cooled surface: with a hindered underside it is larger than the true half thickness, and for a short
    cylinder or a loaf it is 3 (2, 1) times volume over surface.
    """

    shape: Shape
    radius_mm: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.radius_mm) and self.radius_mm > 0):
            raise OutOfRange(f"the thickness of a dough must be more than 0 mm (found {self.radius_mm})")

    def risen(self, rise: float) -> Size:
        """The same dough at ``rise`` times its volume (same shape: all lengths grow by the cube root)."""
        if not rise > 0:
            raise OutOfRange(f"a rise must be more than 0 (found {rise})")
        return replace(self, radius_mm=self.radius_mm * rise ** (1 / 3))


def slab_size(mass_g: float, area_mm2: float, underside: float = 1.0) -> Size:
    """A slab of dough of ``mass_g`` spread over ``area_mm2``: what matters is mass per area.

    ``underside``: how well the underside passes heat compared with the top, 0 (insulated: as thick as a slab of twice
    the thickness cooled on both sides) to 1. In between the cooled surface counts; exact at both ends.
    Raises: OutOfRange for a mass or area that is not above 0.

    >>> round(2 * slab_size(3000, 600 * 400).radius_mm, 2)
    10.87
    """
    if not (mass_g > 0 and area_mm2 > 0):
        raise OutOfRange(f"a slab needs a mass and an area above 0 (found {mass_g:g} g on {area_mm2:g} mm2)")
    if not 0 <= underside <= 1:
        raise OutOfRange(f"the underside's share must be from 0 to 1 (found {underside})")
    thickness_mm = mass_g / DENSITY_G_PER_MM3 / area_mm2
    return Size("slab", thickness_mm / (1 + underside))


def ball_size(mass_g: float) -> Size:
    """A round piece. Raises OutOfRange for a mass that is not above 0."""
    return Size("sphere", (3 * _volume_mm3(mass_g) / (4 * math.pi)) ** (1 / 3))


def log_size(mass_g: float, length_mm: float | None = None) -> Size:
    """A log, strand, braid or loaf of a length; without one, four times as long as thick."""
    volume = _volume_mm3(mass_g)
    if length_mm is None:
        diameter = (4 * volume / (math.pi * LENGTH_OVER_DIAMETER)) ** (1 / 3)
        return Size("cylinder", diameter / 2)
    return Size("cylinder", math.sqrt(volume / (math.pi * length_mm)))


def slice_size(mass_g: float, width_mm: float) -> Size:
    """A slice of a log, standing on its cut face: a short cylinder, by its volume over its surface."""
    volume = _volume_mm3(mass_g)
    area = volume / width_mm
    radius = math.sqrt(area / math.pi)
    surface = 2 * area + 2 * math.pi * radius * width_mm
    return Size("sphere", 3 * volume / surface)


def bulk_size(mass_g: float) -> Size:
    """Dough resting in one mass in a tub as deep as half its width; little heat passes through the bottom."""
    volume = _volume_mm3(mass_g)
    width = (2 * volume) ** (1 / 3)
    surface = width * width * (1 + UNDERSIDE_OF_TUB) + 4 * width * width / 2
    return Size("sphere", 3 * volume / surface)


def chilled_bulk_size(mass_g: float, kitchen: Kitchen) -> Size:
    """Dough chilled in bulk: spread on full trays, each holding the kitchen's ``slab_mass_g`` at most."""
    area = next((_area_mm2(pan) for pan in kitchen.pans if pan.tray_share == 1 and _area_mm2(pan)), 0) or TRAY_AREA_MM2
    trays = max(1, math.ceil(mass_g / kitchen.slab_mass_g - 1e-9))
    return slab_size(mass_g / trays, area, UNDERSIDE_ON_TRAY)


def piece_size(formula: Formula, piece_mass_g: float, kitchen: Kitchen | None = None) -> Size:
    """A piece of a product as its shaping says, standing on its tray or in its tin."""
    shaping = formula.shaping or Shaping()
    pan = next((p for p in kitchen.pans if p.id == formula.pan), None) if kitchen else None
    if shaping.sheet is not None and shaping.sheet.slice_width_mm:
        return slice_size(piece_mass_g, shaping.sheet.slice_width_mm)
    match shaping.form:
        case "round" | "scoop":
            return ball_size(piece_mass_g)
        case "log" | "strand" | "braid" | "loaf":
            length = shaping.piece_length_mm or (pan.length_mm if pan and pan.kind == "tin" else None)
            return log_size(piece_mass_g, length or shaping.strand_length_mm)
        case _:
            return slab_size(piece_mass_g, flat_area_mm2(formula, shaping, pan), UNDERSIDE_ON_TRAY)


def flat_area_mm2(formula: Formula, shaping: Shaping, pan: Pan | None) -> float:
    """What a flat piece covers: its own length and width, its part of the sheet, or its part of the pan."""
    if shaping.piece_length_mm and shaping.piece_width_mm:
        return shaping.piece_length_mm * shaping.piece_width_mm
    if shaping.sheet is not None and shaping.sheet.pieces:
        return shaping.sheet.length_mm * shaping.sheet.width_mm / shaping.sheet.pieces
    return ((pan and _area_mm2(pan)) or TRAY_AREA_MM2) / formula.pieces_per_pan


def _area_mm2(pan: Pan) -> float:
    return (pan.length_mm or 0.0) * (pan.width_mm or 0.0)


def _volume_mm3(mass_g: float) -> float:
    if not (math.isfinite(mass_g) and mass_g > 0):
        raise OutOfRange(f"the mass of a dough must be more than 0 g (found {mass_g})")
    return mass_g / DENSITY_G_PER_MM3
