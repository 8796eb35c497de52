"""How large everything is that hands make of a dough: the sheet, the rolled log, its slices, pieces in their pan.

Sources: geometry (``science.shapes``, ``pans``, ``proofed_pieces``); degassed dough weighs 1.10 to 1.20 g/cm3 (common
practice), 1.15 here, and a filling is taken to weigh as much (a judgement). The rise of a proof is the formula's own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from smallhours.bakery.formula.document import Formula, Shaping, Sheet
from smallhours.bakery.formula.scaling import Scaled
from smallhours.bakery.kitchen.document import Kitchen, Pan
from smallhours.errors import OutOfRange
from smallhours.science.pans import box_volume_ml
from smallhours.science.proofed_pieces import risen_log_diameter_mm, risen_size, touching_fraction
from smallhours.science.shapes import (
    ball_diameter_mm,
    laminated,
    rolled_diameter_mm,
    rolled_turns_count,
    sheet_thickness_mm,
    slices_count,
)

DENSITY_G_PER_CM3 = 1.15
_LONG_OVER_THICK = 4.0  # a log whose length nobody gave (a judgement)
Outline = Literal["round", "long", "flat"]


@dataclass(frozen=True)
class Rolled:
    """A sheet rolled up along one side: how thick and long the log is, how its end face winds, what is cut from it.

    ``filling_mm``: of the filling, spread over the sheet; ``slices``: whole ones; ``rest_mm``: log left over.
    """

    rolled_mm: float
    length_mm: float
    diameter_mm: float
    dough_mm: float
    filling_mm: float
    turns: float
    slice_mm: float | None = None
    slices: int = 0
    rest_mm: float = 0.0


@dataclass(frozen=True)
class SheetShape:
    """A sheet of dough. ``pieces``: cut from it, where it is not rolled; ``layers``: of fat, if it was folded."""

    length_mm: float
    width_mm: float
    thickness_mm: float
    rolled: Rolled | None = None
    pieces: int | None = None
    layers: int | None = None


@dataclass(frozen=True)
class PieceShape:
    """A piece seen from above (``length_mm`` by ``width_mm``; a round has the same of both) and from the side."""

    outline: Outline
    length_mm: float
    width_mm: float
    height_mm: float

    @property
    def volume_ml(self) -> float:
        """Its volume."""
        area = self.length_mm * self.width_mm
        return area * self.height_mm * (1.0 if self.outline == "flat" else math.pi / 4.0) / 1000.0


@dataclass(frozen=True)
class PanShape:
    """A pan with its pieces, in rows and columns on even distances.

    ``before``, ``after``: a piece as it is set and after the proof (None: the formula does not say how far it rises);
    ``filled_before``, ``filled_after``: dough over the pan's volume, where its volume is known; ``touching``: share of
    its side that a piece in the middle presses against others after the proof.
    """

    name: str
    kind: str
    length_mm: float
    width_mm: float
    depth_mm: float | None
    columns: int
    rows: int
    pieces: int
    before: PieceShape
    after: PieceShape | None
    filled_before: float | None = None
    filled_after: float | None = None
    touching: float | None = None


@dataclass(frozen=True)
class Shaped:
    """What there is to draw; any of it may not be said by the formula."""

    sheet: SheetShape | None
    piece: PieceShape | None
    risen: PieceShape | None
    growth: float | None
    pan: PanShape | None


def shaped(formula: Formula, scaled: Scaled, kitchen: Kitchen | None) -> Shaped:
    """The sizes of a (joined) formula's sheet, pieces and pan. Raises OutOfRange for sizes that cannot be."""
    shaping = formula.shaping or Shaping()
    sheet = None if shaping.sheet is None else _sheet(shaping.sheet, formula, scaled)
    growth = proof_growth(formula)
    pan = None if kitchen is None else next((pan for pan in kitchen.pans if pan.id == formula.pan), None)
    piece = _piece(shaping, sheet, scaled.piece_mass_g, pan) if scaled.piece_mass_g > 0 else None
    risen = None if piece is None or growth is None else grown(piece, growth)
    placed = None if pan is None or piece is None else _pan(pan, formula.pieces_per_pan, piece, risen)
    return Shaped(sheet, piece, risen, growth, placed)


def proof_growth(formula: Formula) -> float | None:
    """How many times its volume a piece has after its last proof: the rise that the formula gives it, if it does.

    What is divided, sheeted or shaped has lost its gas again: the rise over the mixed dough is that over the piece.
    """
    rises = []
    for stage in formula.stages_of(formula.main):
        if stage.kind == "bake":
            break
        if stage.kind in ("proof", "retard"):
            rises.append(stage.rise)
    return next((rise for rise in reversed(rises) if rise is not None), None)


def grown(piece: PieceShape, growth: float) -> PieceShape:
    """A piece grown to so many times its volume, free: a round alike in all directions, a log across its length."""
    if piece.outline == "round":
        size = risen_size(piece.width_mm, piece.height_mm, growth)
        return PieceShape("round", size.diameter_mm, size.diameter_mm, size.height_mm)
    if piece.outline == "long":
        wide = risen_log_diameter_mm(piece.width_mm, growth)
        return PieceShape("long", piece.length_mm, wide, wide)
    return PieceShape("flat", piece.length_mm, piece.width_mm, piece.height_mm * growth)


def grid(pieces: int, length_mm: float, width_mm: float) -> tuple[int, int]:
    """Columns along the length and rows across, for so many pieces, so that each has the squarest room.

    >>> grid(8, 330.0, 230.0)
    (4, 2)
    """
    best = max(
        range(1, pieces + 1),
        key=lambda columns: (round(min(length_mm / columns, width_mm / -(-pieces // columns)), 6), -columns),
    )
    return best, -(-pieces // best)


def _sheet(sheet: Sheet, formula: Formula, scaled: Scaled) -> SheetShape:
    dough_g = sheet.dough_mass_g
    if dough_g is None and scaled.piece_mass_g > 0 and (sheet.slices or sheet.pieces):
        dough_g = scaled.piece_mass_g * (sheet.slices or sheet.pieces or 1)
    thick = sheet.thickness_mm
    if thick is None:
        if dough_g is None:
            raise OutOfRange(f"formula {formula.id!r}: the sheet has neither a thickness nor a mass of dough")
        thick = sheet_thickness_mm(dough_g, DENSITY_G_PER_CM3, sheet.length_mm, sheet.width_mm)
    layers = laminated(sheet.folds, sheet.lock_in_layers).fat if sheet.folds else None
    rolled = None if sheet.roll_along is None else _rolled(sheet, thick, _filling_mm(sheet, formula, scaled, dough_g))
    return SheetShape(
        sheet.length_mm, sheet.width_mm, thick, rolled, None if rolled else sheet.pieces or sheet.slices, layers
    )


def _filling_mm(sheet: Sheet, formula: Formula, scaled: Scaled, dough_g: float | None) -> float:
    """How thick the filling lies that goes with the sheet's dough."""
    main_g = scaled.amounts.parts[formula.main].mass_g
    filling_g = sum(one.mass_g for one in scaled.amounts.parts.values() if one.part.kind == "filling")
    if dough_g is None or main_g <= 0 or filling_g <= 0:
        return 0.0
    return sheet_thickness_mm(dough_g * filling_g / main_g, DENSITY_G_PER_CM3, sheet.length_mm, sheet.width_mm)


def _rolled(sheet: Sheet, dough_mm: float, filling_mm: float) -> Rolled:
    along, across = sheet.length_mm, sheet.width_mm
    if sheet.roll_along == "width":
        along, across = across, along
    diameter = rolled_diameter_mm(across, dough_mm, filling_mm)
    turns = rolled_turns_count(across, dough_mm, filling_mm)
    if sheet.slice_width_mm is None:
        return Rolled(across, along, diameter, dough_mm, filling_mm, turns)
    count = slices_count(along, sheet.slice_width_mm)
    rest = max(0.0, along - count * sheet.slice_width_mm)
    return Rolled(across, along, diameter, dough_mm, filling_mm, turns, sheet.slice_width_mm, count, rest)


def _piece(shaping: Shaping, sheet: SheetShape | None, mass_g: float, pan: Pan | None) -> PieceShape | None:
    if sheet is not None and sheet.rolled is not None and sheet.rolled.slice_mm is not None:
        wide = sheet.rolled.diameter_mm
        return PieceShape("round", wide, wide, sheet.rolled.slice_mm)
    volume_mm3 = mass_g / DENSITY_G_PER_CM3 * 1000.0
    match shaping.form:
        case "round" | "scoop":
            wide = ball_diameter_mm(mass_g, DENSITY_G_PER_CM3)
            return PieceShape("round", wide, wide, wide)
        case "log" | "strand" | "loaf" | "braid":
            inside = pan.length_mm if pan is not None and pan.kind == "tin" else None
            long = shaping.piece_length_mm or inside or shaping.strand_length_mm
            long = long or (4.0 * volume_mm3 * _LONG_OVER_THICK**2 / math.pi) ** (1.0 / 3.0)
            thick = math.sqrt(4.0 * volume_mm3 / (math.pi * long))
            return PieceShape("long", long, thick, thick)
    if shaping.piece_length_mm is None or shaping.piece_width_mm is None:
        return None
    high = volume_mm3 / (shaping.piece_length_mm * shaping.piece_width_mm)
    return PieceShape("flat", shaping.piece_length_mm, shaping.piece_width_mm, high)


def _pan(pan: Pan, pieces: int, before: PieceShape, after: PieceShape | None) -> PanShape | None:
    if pan.length_mm is None or pan.width_mm is None:
        return None
    columns, rows = _arranged(pan.length_mm, pan.width_mm, pieces, before)
    volume_ml = _volume_ml(pan)
    touching = None
    if after is not None and after.outline == "round" and pieces > 1:
        pitch = min(pan.length_mm / columns, pan.width_mm / rows)
        touching = touching_fraction(pitch, after.width_mm)
    return PanShape(
        pan.name,
        pan.kind,
        pan.length_mm,
        pan.width_mm,
        pan.depth_mm,
        columns,
        rows,
        pieces,
        before,
        after,
        None if volume_ml is None else pieces * before.volume_ml / volume_ml,
        None if volume_ml is None or after is None else pieces * after.volume_ml / volume_ml,
        touching,
    )


def _arranged(length_mm: float, width_mm: float, pieces: int, piece: PieceShape) -> tuple[int, int]:
    """Long pieces lie along the pan if they fit, side by side, else across it."""
    if piece.outline != "long" or pieces == 1:
        return grid(pieces, length_mm, width_mm)
    return (1, pieces) if piece.length_mm > width_mm else (pieces, 1)


def _volume_ml(pan: Pan) -> float | None:
    """What a tin holds; a tray, a board or a row of cups has no volume that says how full it is."""
    if pan.kind != "tin" or pan.length_mm is None or pan.width_mm is None:
        return None
    if pan.volume_ml is not None:
        return pan.volume_ml
    return None if pan.depth_mm is None else box_volume_ml(pan.length_mm, pan.width_mm, pan.depth_mm)
