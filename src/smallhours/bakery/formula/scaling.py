"""A formula scaled to what is wanted, losses worked backwards: pieces, dough, flour, one thing on hand, or pans.

Source: the chain piece = sold / (1 - bake loss), rounded up to the scale's step; divided = pieces x piece;
weighed = divided / (1 - divide loss) / (1 - mix loss) is common practice of the trade.
"""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass

from smallhours.bakery.formula.amounts import Amounts, unit_amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.piece import as_sold_g, divided_mass_g
from smallhours.bakery.formula.shares import PartShares, part_shares
from smallhours.bakery.formula.sizes import part_masses, roots
from smallhours.bakery.pantry import Pantry
from smallhours.errors import NotFound, OutOfRange

MOST_PIECES = 1_000_000
MOST_MASS_G = 1e9


@dataclass(frozen=True)
class Losses:
    """The chain from the scale to the counter.

    ``weighed_g`` goes into the bowl; ``mixed_g`` comes out of it; ``divided_g`` is on the bench as pieces;
    ``piece_exact_g`` is a piece before rounding up to the scale's step, ``piece_g`` after; ``sold_g`` is what one
    piece is expected to weigh when it is sold. Zero from ``divided_g`` on where the formula names no piece.
    """

    weighed_g: float
    mixed_g: float
    divided_g: float
    piece_exact_g: float
    piece_g: float
    sold_g: float


@dataclass(frozen=True)
class Scaled:
    """A formula scaled. ``amounts``: masses at weigh-up; ``piece_mass_g``: main part per piece as divided.

    ``pieces`` and ``pans`` are 0 if the formula does not say how large a piece is (a dough that others share).
    """

    amounts: Amounts
    pieces: int
    pans: int
    piece_mass_g: float
    losses: Losses


def scale_by_pieces(formula: Formula, pantry: Pantry, pieces: int, step_g: float = 1.0) -> Scaled:
    """Enough for ``pieces`` pieces. ``step_g``: the step to which a piece worked backwards is rounded up.

    Raises: OutOfRange unless 0 < pieces < 1 000 000 and whole; BadInput if the formula names no piece; and as
    ``unit_amounts``.
    """
    if isinstance(pieces, bool) or not (math.isfinite(pieces) and 0 < pieces < MOST_PIECES and pieces == int(pieces)):
        raise OutOfRange(f"the number of pieces must be a whole number from 1 to {MOST_PIECES - 1} (found {pieces})")
    shares = part_shares(formula, pantry)
    piece_g = _piece(formula, shares, step_g)
    divided_g = int(pieces) * piece_g
    return _scaled(formula, pantry, shares, divided_g / _kept(formula), int(pieces), step_g)


def scale_by_dough_mass(formula: Formula, pantry: Pantry, mass_g: float, step_g: float = 1.0) -> Scaled:
    """As much as ``mass_g`` of the main part weighed into the bowl gives, in whole pieces.

    Raises: OutOfRange for a mass that is not above 0 g and finite; and as ``unit_amounts``.
    """
    _positive("the mass of dough", mass_g)
    shares = part_shares(formula, pantry)
    pieces = 0
    if formula.output is not None:
        pieces = math.floor(mass_g * _kept(formula) / _piece(formula, shares, step_g) + 1e-9)
    return _scaled(formula, pantry, shares, mass_g, pieces, step_g)


def scale_by_flour(formula: Formula, pantry: Pantry, flour_g: float, step_g: float = 1.0) -> Scaled:
    """As much as ``flour_g`` of flour gives, flour inside preferments counted.

    Raises: OutOfRange for a mass that is not above 0 g, or if there is no flour in the main part.
    """
    _positive("the mass of flour", flour_g)
    share = part_shares(formula, pantry)[formula.main].flour
    if share <= 0:
        raise OutOfRange(f"formula {formula.id!r} cannot be scaled by flour: there is none in its main part")
    return scale_by_dough_mass(formula, pantry, flour_g / share, step_g)


def scale_by_ingredient(formula: Formula, pantry: Pantry, key: str, mass_g: float, step_g: float = 1.0) -> Scaled:
    """As much as ``mass_g`` of one ingredient on hand gives, counted in every part; never needs more of it.

    Raises: NotFound if the formula has no such ingredient; OutOfRange for a mass that is not above 0 g, or
    that is not enough for one piece where it is only used by the piece.
    """
    _positive(f"the mass of {key}", mass_g)
    shares = part_shares(formula, pantry)
    held = {k for s in shares.values() for k in s.opened}
    if key not in held:
        raise NotFound(f"formula {formula.id!r} has no {key!r} in it; {_nearest(key, held)}")
    whole = _needs(formula, shares, key, 1.0, 0.0, 0.0)
    if whole <= 0:
        return _by_whole_pieces(formula, pantry, shares, key, mass_g, step_g)
    if formula.output is None:
        return _scaled(formula, pantry, shares, mass_g / whole, 0, step_g)
    per_gram = _kept(formula) / _piece(formula, shares, step_g)
    main_g = mass_g / _needs(formula, shares, key, 1.0, per_gram, per_gram / formula.pieces_per_pan)
    pieces = math.floor(main_g * per_gram + 1e-9)
    if _needs(formula, shares, key, main_g, pieces, _pans(formula, pieces)) > mass_g * (1 + 1e-9):
        pans = pieces // formula.pieces_per_pan  # the last, half-filled pan takes more than is left: leave it out
        pieces = pans * formula.pieces_per_pan
        main_g = pieces / per_gram
    return _scaled(formula, pantry, shares, main_g, pieces, step_g)


def _nearest(key: str, held: set[str]) -> str:
    near = difflib.get_close_matches(key, sorted(held), n=3, cutoff=0.6)
    near += [k for k in sorted(held) if k not in near and set(key.split("-")) & set(k.split("-"))]
    if near:
        return f"did you mean {' or '.join(near[:3])}?"
    return f"there are: {', '.join(sorted(held))}"


def scale_by_pans(formula: Formula, pantry: Pantry, pans: int, step_g: float = 1.0) -> Scaled:
    """Enough to fill ``pans`` pans with their number of pieces. Raises as ``scale_by_pieces``."""
    if isinstance(pans, bool) or not (math.isfinite(pans) and 0 < pans < MOST_PIECES and pans == int(pans)):
        raise OutOfRange(f"the number of pans must be a whole number from 1 to {MOST_PIECES - 1} (found {pans})")
    return scale_by_pieces(formula, pantry, int(pans) * formula.pieces_per_pan, step_g)


def _by_whole_pieces(
    formula: Formula, pantry: Pantry, shares: dict[str, PartShares], key: str, mass_g: float, step_g: float
) -> Scaled:
    """The ingredient is only used by the piece or the pan: as many pieces as it covers."""
    pieces = math.floor(mass_g / _needs(formula, shares, key, 0.0, 1.0, 1.0 / formula.pieces_per_pan) + 1e-9)
    if _needs(formula, shares, key, 0.0, pieces, _pans(formula, pieces)) > mass_g * (1 + 1e-9):
        pieces -= pieces % formula.pieces_per_pan
    if pieces < 1:
        raise OutOfRange(f"formula {formula.id!r}: {mass_g:g} g of {key} is not enough for the first piece or pan")
    return scale_by_pieces(formula, pantry, pieces, step_g)


def _needs(
    formula: Formula, shares: dict[str, PartShares], key: str, main_g: float, pieces: float, pans: float
) -> float:
    """How much of an ingredient that takes in all, g."""
    masses = part_masses(formula, shares, main_g, pieces, pans)
    return math.fsum(masses[name] * shares[name].opened.get(key, 0.0) for name in roots(formula))


def _scaled(
    formula: Formula, pantry: Pantry, shares: dict[str, PartShares], main_g: float, pieces: int, step_g: float
) -> Scaled:
    if main_g > MOST_MASS_G:
        raise OutOfRange(f"formula {formula.id!r}: {main_g:g} g of dough is more than can be planned")
    pans = _pans(formula, pieces)
    known = formula.output is not None
    amounts = unit_amounts(formula, pantry, main_g, pieces if known else None, pans if known else None)
    mixed_g = main_g * (1.0 - _loss(formula, "mix_loss_percent"))
    if not known:
        return Scaled(amounts, 0, 0, 0.0, Losses(main_g, mixed_g, 0.0, 0.0, 0.0, 0.0))
    piece_g = _piece(formula, shares, step_g)
    losses = Losses(
        weighed_g=main_g,
        mixed_g=mixed_g,
        divided_g=pieces * piece_g,
        piece_exact_g=divided_mass_g(formula, shares),
        piece_g=piece_g,
        sold_g=as_sold_g(formula, shares, piece_g),
    )
    return Scaled(amounts, pieces, pans, piece_g, losses)


def _piece(formula: Formula, shares: dict[str, PartShares], step_g: float) -> float:
    """A piece as divided; one that was worked backwards is rounded up to the scale's step."""
    if not (math.isfinite(step_g) and step_g > 0):
        raise OutOfRange(f"a scale step must be above 0 g (found {step_g})")
    exact_g = divided_mass_g(formula, shares)
    if formula.output is not None and formula.output.piece_mass_g is not None:
        return exact_g
    return round(math.ceil(exact_g / step_g - 1e-9) * step_g, 9)


def _kept(formula: Formula) -> float:
    """The share of what is weighed that arrives on the bench as pieces."""
    return (1.0 - _loss(formula, "mix_loss_percent")) * (1.0 - _loss(formula, "divide_loss_percent"))


def _loss(formula: Formula, name: str) -> float:
    return 0.0 if formula.output is None else float(getattr(formula.output, name)) / 100.0


def _pans(formula: Formula, pieces: int) -> int:
    return -(-pieces // formula.pieces_per_pan)


def _positive(what: str, mass_g: float) -> None:
    if not (math.isfinite(mass_g) and 0 < mass_g <= MOST_MASS_G):
        raise OutOfRange(f"{what} must be above 0 g and at most {MOST_MASS_G:g} g (found {mass_g})")
