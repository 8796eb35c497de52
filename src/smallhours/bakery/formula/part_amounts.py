"""One part of a formula and the parts inside it, in masses for one bowl."""

from __future__ import annotations

from smallhours.bakery.formula.amounts import Amounts, LineAmount, PartAmount, flour_in, unit_amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.pantry import Pantry

_UNIT_G, _UNIT_PIECES = 1000.0, 1000  # any will do: within a part all lines are in proportion


def part_amounts(formula: Formula, part_id: str, mass_g: float, pantry: Pantry, pieces: int | None = None) -> Amounts:
    """Masses of one part and of the parts inside it, for ``mass_g`` of that part; every other part is 0 g.

    Parameters: ``mass_g`` at weigh-up, 0 or more; ``pieces``: noted on the result.
    """
    unit = unit_amounts(formula, pantry, _UNIT_G, pieces=_UNIT_PIECES)
    masses = dict.fromkeys(unit.parts, 0.0)
    masses[part_id] = mass_g
    parts: dict[str, PartAmount] = {}
    waiting = list(unit.parts)
    while waiting:  # a part comes after everything that takes it in; structure has ruled out circles
        name = next(n for n in waiting if not any(_takes(unit.parts[other], n) for other in waiting if other != n))
        waiting.remove(name)
        parts[name] = _at(unit.parts[name], masses[name])
        for amount in parts[name].lines:
            if amount.line.part is not None:
                masses[amount.line.part] += amount.mass_g
    scaled = {name: parts[name] for name in unit.parts}
    amounts = Amounts(formula, scaled, 0.0, pieces)
    return Amounts(formula, scaled, flour_in(amounts.ingredients(part_id), formula, pantry), pieces)


def _takes(part: PartAmount, name: str) -> bool:
    return any(amount.line.part == name for amount in part.lines)


def _at(part: PartAmount, mass_g: float) -> PartAmount:
    share = mass_g / part.mass_g if part.mass_g > 0 else 0.0
    return PartAmount(
        part.part, mass_g, tuple(LineAmount(line.line, line.key, line.mass_g * share) for line in part.lines)
    )
