"""Does a published formula give what it says? Masses against claimed yield, pieces, sheet, slices and layers.

Sources: dough without much gas weighs 1.10 to 1.20 g/cm3 and never more than 1.25 (common practice); a log is as long
as the side it is rolled along, and layers of butter multiply with each fold (geometry).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from smallhours.bakery.finding import Finding
from smallhours.bakery.formula.document import Sheet
from smallhours.bakery.formula.reading import Reading
from smallhours.bakery.formula.scaling import scale_by_pieces
from smallhours.bakery.quantity import write_mass

YIELD_TOLERANCE = 0.04
CLAIMS_TOLERANCE = 0.03
PIECE_TOLERANCE = 0.05
MOST_TRIMMED = 0.15
DENSEST, DENSITY_USUAL, LIGHTEST = 1.25, (1.10, 1.20), 0.95


def yield_is_there(read: Reading) -> Iterator[Finding]:
    """What the ingredients weigh against the mass that the formula claims."""
    output = read.formula.output
    mass_g = _written_g(read)
    if output is None or output.claimed_mass_g is None or mass_g is None:
        return
    gap = (mass_g - output.claimed_mass_g) / mass_g
    if -YIELD_TOLERANCE / 4 <= gap <= YIELD_TOLERANCE:
        return
    says = f"claims {write_mass(output.claimed_mass_g)}, but its ingredients weigh {write_mass(mass_g)}"
    if gap < 0:
        yield Finding("yield_is_there", "wrong", "output", f"{says}: {-100 * gap:.1f} % more than there is")
    else:
        yield Finding(
            "yield_is_there",
            "warn",
            "output",
            f"{says}: {100 * gap:.1f} % is missing; mixing and dividing lose 1 to 3 %, trimming 5 to 15 %",
        )


def pieces_are_there(read: Reading) -> Iterator[Finding]:
    """What the ingredients weigh against the number of pieces that the formula claims."""
    output = read.formula.output
    mass_g = _written_g(read)
    if output is None or output.claimed_pieces is None or mass_g is None:
        return
    one = scale_by_pieces(read.formula, read.pantry, 1)
    kept_g = mass_g * one.losses.divided_g / one.losses.weighed_g
    possible = math.floor(kept_g / one.piece_mass_g + 1e-9)
    claimed_g = output.claimed_pieces * one.piece_mass_g
    gap = (mass_g - claimed_g) / mass_g
    says = (
        f"claims {output.claimed_pieces} pieces of {one.piece_mass_g:g} g ({write_mass(claimed_g)}) from "
        f"{write_mass(mass_g)}"
    )
    if output.claimed_pieces > possible and gap < 0.01:
        yield Finding("pieces_are_there", "wrong", "output", f"{says}: with the losses it makes {possible}, not more")
    elif gap > YIELD_TOLERANCE and output.claimed_pieces < possible:
        trimmed = "" if gap > MOST_TRIMMED else " (unless the rest is trimmed off: then say so)"
        yield Finding(
            "pieces_are_there",
            "wrong" if gap > MOST_TRIMMED else "warn",
            "output",
            f"{says}: {100 * gap:.1f} % is missing, {possible} pieces can be made{trimmed}",
        )


def claims_agree(read: Reading) -> Iterator[Finding]:
    """The claimed mass against the claimed number of pieces."""
    output = read.formula.output
    if output is None or output.claimed_pieces is None or not output.claimed_mass_g:
        return
    pieces_g = output.claimed_pieces * scale_by_pieces(read.formula, read.pantry, 1).piece_mass_g
    if abs(pieces_g / output.claimed_mass_g - 1) > CLAIMS_TOLERANCE:
        yield Finding(
            "claims_agree",
            "warn",
            "output",
            f"claims {write_mass(output.claimed_mass_g)} and {output.claimed_pieces} pieces, which weigh "
            f"{write_mass(pieces_g)}",
        )


def sheet_has_its_mass(read: Reading) -> Iterator[Finding]:
    """Mass against length x width x thickness: no dough is denser than 1.25 g/cm3."""
    sheet = _sheet(read)
    mass_g = None if sheet is None else _sheet_g(read, sheet)
    if sheet is None or mass_g is None or sheet.thickness_mm is None:
        return
    area_cm2 = sheet.length_mm * sheet.width_mm / 100.0
    density = mass_g / (area_cm2 * sheet.thickness_mm / 10.0)
    if LIGHTEST <= density <= DENSEST:
        return
    thin, thick = (10.0 * mass_g / (area_cm2 * d) for d in reversed(DENSITY_USUAL))
    yield Finding(
        "sheet_has_its_mass",
        "wrong" if density > DENSEST else "warn",
        "shaping.sheet",
        f"{write_mass(mass_g)} on {sheet.length_mm:.0f} x {sheet.width_mm:.0f} mm at {sheet.thickness_mm:.2f} mm would "
        f"be {density:.2f} g/cm3, but dough weighs {DENSITY_USUAL[0]:.2f} to {DENSITY_USUAL[1]:.2f}; the true "
        f"thickness is {thin:.1f} to {thick:.1f} mm",
    )


def slices_fit_the_log(read: Reading) -> Iterator[Finding]:
    """Slices against the length of the log, which is the side the sheet is rolled up along."""
    sheet = _sheet(read)
    if sheet is None or sheet.slice_width_mm is None:
        return
    logs = {"length": sheet.length_mm, "width": sheet.width_mm}
    counts = {side: math.floor(long / sheet.slice_width_mm + 1e-6) for side, long in logs.items()}
    claimed = sheet.slices or sheet.pieces
    if sheet.roll_along is None:
        if claimed in counts.values() or not any(stage.kind == "roll" for stage in read.formula.stages):
            return
        yield Finding(
            "slices_fit_the_log",
            "note",
            "shaping.sheet.roll_along",
            f"does not say which side becomes the log: along the length it makes {counts['length']} slices, along the "
            f"width {counts['width']}",
        )
        return
    fits = counts[sheet.roll_along]
    if claimed is None or claimed == fits:
        return
    other = "width" if sheet.roll_along == "length" else "length"
    hint = f"; {claimed} slices come from rolling along the {other}" if counts[other] == claimed else ""
    yield Finding(
        "slices_fit_the_log",
        "wrong" if claimed > fits else "warn",
        "shaping.sheet.slices",
        f"a log of {logs[sheet.roll_along]:.0f} mm cut at {sheet.slice_width_mm:.1f} mm gives {fits} slices, not "
        f"{claimed}{hint}",
    )


def slices_have_their_mass(read: Reading) -> Iterator[Finding]:
    """The sheet's dough, less what dividing loses, over its slices against the mass of a piece."""
    sheet = _sheet(read)
    output = read.formula.output
    if sheet is None or output is None or sheet.dough_mass_g is None:
        return
    count = sheet.slices or sheet.pieces
    if count is None:
        return
    each_g = sheet.dough_mass_g * (1.0 - output.divide_loss_percent / 100.0) / count
    piece_g = scale_by_pieces(read.formula, read.pantry, 1).piece_mass_g
    if abs(each_g / piece_g - 1) > PIECE_TOLERANCE:
        yield Finding(
            "slices_have_their_mass",
            "warn",
            "shaping.sheet",
            f"{write_mass(sheet.dough_mass_g)} of dough in {count} slices is {each_g:.0f} g each, but a piece is "
            f"{piece_g:.0f} g",
        )


def layers_are_counted_once(read: Reading) -> Iterator[Finding]:
    """Claimed layers of a laminated dough: dough that touches dough in a fold is one layer, not two."""
    sheet = _sheet(read)
    if sheet is None or sheet.claimed_layers is None or not sheet.folds:
        return
    folds = math.prod(sheet.folds)
    fat = sheet.lock_in_layers * folds
    twice = (2 * sheet.lock_in_layers + 1) * folds
    if sheet.claimed_layers in (fat, fat + 1, 2 * fat + 1):
        return
    doubled = " (that counts dough that touches dough twice)" if sheet.claimed_layers == twice else ""
    yield Finding(
        "layers_are_counted_once",
        "warn",
        "shaping.sheet.folds",
        f"claims {sheet.claimed_layers} layers{doubled}; these folds make {fat} layers of butter between {fat + 1} of "
        f"dough, {2 * fat + 1} in all",
    )


def _written_g(read: Reading) -> float | None:
    """What the main part's lines weigh as written; None if they are percentages."""
    masses = [line.mass_g for line in read.main.lines]
    return None if any(mass is None for mass in masses) else math.fsum(mass or 0.0 for mass in masses)


def _sheet(read: Reading) -> Sheet | None:
    return read.formula.shaping.sheet if read.formula.shaping else None


def _sheet_g(read: Reading, sheet: Sheet) -> float | None:
    """The dough on the sheet: as written, or pieces times the mass of a piece."""
    if sheet.dough_mass_g is not None:
        return sheet.dough_mass_g
    count = sheet.pieces or sheet.slices
    if count is None or read.formula.output is None:
        return None
    return count * scale_by_pieces(read.formula, read.pantry, 1).piece_mass_g
