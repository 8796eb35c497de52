"""How much there is of each part, from the mass of the main part and the number of pieces and pans."""

from __future__ import annotations

from smallhours.bakery.formula.document import Formula, Part
from smallhours.bakery.formula.shares import PartShares
from smallhours.errors import BadInput, Fault, PartCycle


def part_masses(
    formula: Formula,
    shares: dict[str, PartShares],
    main_mass_g: float,
    pieces: float | None,
    pans: float | None,
) -> dict[str, float]:
    """Mass (g) of every part, by id. It is linear in the main part's mass, the pieces and the pans.

    A part given as a ratio is sized on the mass of the other part at weigh-up; one given per piece or per pan
    is that mass times their number.

    Raises: BadInput if a part is sized per piece or pan and their number is not known; PartCycle if parts size
    one another in a circle.
    """
    masses = {part.id: 0.0 for part in formula.parts}
    masses[formula.main] = main_mass_g
    for name in _order(formula):
        part = formula.part(name)
        if part.ratio_percent is not None and part.ratio_to is not None:
            masses[name] += masses[part.ratio_to] * part.ratio_percent / 100.0
        if part.mass_per_piece_g is not None:
            masses[name] += part.mass_per_piece_g * _known(pieces, formula, part)
        if part.mass_per_pan_g is not None:
            masses[name] += part.mass_per_pan_g * _known(pans, formula, part)
        for line, share in zip(part.lines, shares[name].lines, strict=True):
            if line.part is not None:
                masses[line.part] += share * masses[name]
    return masses


def roots(formula: Formula) -> list[str]:
    """Ids of the parts that no other part takes in."""
    fed = {line.part for part in formula.parts for line in part.lines if line.part}
    return [part.id for part in formula.parts if part.id not in fed]


def _known(count: float | None, formula: Formula, part: Part) -> float:
    if count is None:
        raise BadInput(
            f"formula {formula.id!r}, part {part.id!r}: is sized per piece or pan, but nothing says how large a "
            "piece is; give the formula an output with piece_mass, or a number of pieces"
        )
    return count


def _order(formula: Formula) -> list[str]:
    """Parts in an order in which each stands after everything that sizes it."""
    sized_by: dict[str, set[str]] = {part.id: set() for part in formula.parts}
    for part in formula.parts:
        if part.ratio_to is not None:
            sized_by[part.id].add(part.ratio_to)
        for line in part.lines:
            if line.part is not None:
                sized_by[line.part].add(part.id)
    order: list[str] = []
    while len(order) < len(sized_by):
        ready = [name for name, before in sized_by.items() if name not in order and before <= set(order)]
        if not ready:
            stuck = sorted(set(sized_by) - set(order))
            raise PartCycle(
                f"formula {formula.id!r}", [Fault(f"parts {', '.join(stuck)}", "size one another in a circle")]
            )
        order.extend(ready)
    return order
