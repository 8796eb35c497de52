"""How heavy a piece of the main part must be divided so that what is sold has its mass."""

from __future__ import annotations

from smallhours.bakery.formula.document import Formula, Yield
from smallhours.bakery.formula.shares import PartShares
from smallhours.bakery.formula.sizes import part_masses, roots
from smallhours.errors import BadInput, OutOfRange


def divided_mass_g(formula: Formula, shares: dict[str, PartShares]) -> float:
    """The mass of main part per piece as it is divided, exactly.

    Where the formula gives the mass as sold, it is worked backwards: fillings go through the oven with the
    dough and lose with it, what comes on after the oven does not. With nothing but dough this is
    ``sold / (1 - bake loss)``.

    Raises: BadInput if the formula has no output; OutOfRange if filling and finish alone outweigh the piece.
    Source: the chain of losses is common practice; exact.
    """
    output = _output(formula)
    if output.piece_mass_g is not None:
        return output.piece_mass_g
    sold_g = output.baked_mass_g or 0.0
    kept = 1.0 - output.bake_loss_percent / 100.0
    ratio_in, piece_in, ratio_on, piece_on = _company(formula, shares)
    mass_g = (sold_g - piece_on - piece_in * kept) / ((1.0 + ratio_in) * kept + ratio_on)
    if mass_g <= 0:
        raise OutOfRange(
            f"formula {formula.id!r}: filling and finish weigh more than the {sold_g:g} g piece as sold; "
            "nothing is left for the dough"
        )
    return mass_g


def as_sold_g(formula: Formula, shares: dict[str, PartShares], piece_mass_g: float) -> float:
    """What a piece divided at ``piece_mass_g`` is expected to weigh when it is sold (inverse of the above)."""
    kept = 1.0 - _output(formula).bake_loss_percent / 100.0
    ratio_in, piece_in, ratio_on, piece_on = _company(formula, shares)
    return ((1.0 + ratio_in) * piece_mass_g + piece_in) * kept + ratio_on * piece_mass_g + piece_on


def _output(formula: Formula) -> Yield:
    if formula.output is None:
        raise BadInput(
            f"formula {formula.id!r} does not say how large a piece is: give it an output with piece_mass or baked_mass"
        )
    return formula.output


def _company(formula: Formula, shares: dict[str, PartShares]) -> tuple[float, float, float, float]:
    """What goes with the main part: before the oven per gram of it and per piece, after the oven likewise."""
    per_gram = part_masses(formula, shares, 1.0, 0.0, 0.0)
    per_piece = part_masses(formula, shares, 0.0, 1.0, 1.0 / formula.pieces_per_pan)
    late = _after_the_oven(formula)
    with_it = [name for name in roots(formula) if name != formula.main]
    before, after = [n for n in with_it if n not in late], [n for n in with_it if n in late]
    return (
        sum(per_gram[n] for n in before),
        sum(per_piece[n] for n in before),
        sum(per_gram[n] for n in after),
        sum(per_piece[n] for n in after),
    )


def _after_the_oven(formula: Formula) -> set[str]:
    """Parts that come on after the bake: as the stages say; a glaze that no stage names counts as late."""
    late: set[str] = set()
    named: set[str] = set()
    baked = False
    for stage in formula.stages_of(formula.main):
        named.update(stage.uses)
        if baked:
            late.update(stage.uses)
        baked = baked or stage.kind == "bake"
    return late | {part.id for part in formula.parts if part.kind == "glaze" and part.id not in named}
