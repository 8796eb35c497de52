"""How far harmful bacteria may grow on the way of a dough or filling: a caution, never a clearance."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from smallhours.forecast.estimate import Estimate
from smallhours.forecast.formula_forecast import FormulaForecast
from smallhours.forecast.warmest_path import WarmPath, warm_paths
from smallhours.reference.defaults import growth_curves
from smallhours.reference.table import table
from smallhours.science.food_microbes import (
    FASTER_RATIO,
    MOST_LOG10,
    SLOWER_RATIO,
    MicrobeCaution,
    caution,
    growth_log10,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from smallhours.forecast.questions.answer import Asked

    Floats = NDArray[np.float64]

NOT_COVERED = ("Clostridium", "E. coli", "moulds", "Bacillus cereus that grows in the fridge")
LONGEST_WARM_S = 4 * 3600.0
"""Longer than this what is eaten as it is does not stay out of the cold without other control (US Food Code
3-501.19, from memory)."""
TOXIN_LOG10 = 3.0
"""From a hundred to a hundred thousand in a gram, where S. aureus and B. cereus leave toxin that the oven does not undo
(common limit of hazard guides, from memory)."""
TOXIN_FORMERS = ("staphylococcus-aureus", "bacillus-cereus")


@dataclass(frozen=True)
class Growth:
    """How far one organism may grow in one part: in all, and in each spell, as powers of ten.

    ``by_spell``: (name, growth); the middle of an ``Estimate`` is the mean of the curves, low and high as ``caution``.
    """

    organism: str
    caution: MicrobeCaution
    total: Estimate
    by_spell: tuple[tuple[str, Estimate], ...]

    @property
    def most_in(self) -> str:
        """The spell in which most of it happens."""
        return max(self.by_spell, key=lambda one: one[1].high)[0]


@dataclass(frozen=True)
class Kept:
    """A part, the path of its warmest layer, and what may grow on it; the organism that may grow most first."""

    path: WarmPath
    growths: tuple[Growth, ...]

    @property
    def worst(self) -> Growth:
        """What may grow most."""
        return self.growths[0]

    @property
    def too_long(self) -> bool:
        """Whether a baker has to be told without asking.

        It grows tenfold even by the low figure; or what goes into the oven may reach the numbers that leave toxin; or
        what does not is out of the cold for more than four hours. That nothing is told does not make it safe.
        """
        if any(growth.caution.key == "microbes-grow" for growth in self.growths):
            return True
        if self.path.baked:
            return any(one.total.high >= TOXIN_LOG10 for one in self.growths if one.organism in TOXIN_FORMERS)
        return self.path.warm_s > LONGEST_WARM_S and self.worst.caution.key != "microbes-below-minimum"


def kept_parts(asked: Asked, made: FormulaForecast) -> tuple[Kept, ...]:
    """What may grow in each part that holds egg or dairy, along the forecast's path of its warmest layer."""
    return tuple(kept_on(path) for path in warm_paths(asked, made))


def kept_on(path: WarmPath) -> Kept:
    """What may grow on one path. Source: ``science.food_microbes``, table microbe_growth."""
    growths = [_growth(organism, path) for organism in organisms()]
    return Kept(path, tuple(sorted(growths, key=lambda one: -one.total.high)))


@cache
def organisms() -> tuple[str, ...]:
    """The organisms that curves were published for."""
    return tuple(dict.fromkeys(str(row["organism"]) for row in table("microbe_growth").rows))


def said_of(organism: str) -> str:
    """An organism's name as it is written."""
    return organism.replace("-", " ").capitalize()


def _growth(organism: str, path: WarmPath) -> Growth:
    import numpy as np

    curves = growth_curves(organism)
    grown = [growth_log10(curve, path.times_s, path.temps_c) for curve in curves]
    edges = [(spell.name, spell.begin_s, spell.end_s) for spell in path.spells]
    rows = [np.interp([[a, b] for _, a, b in edges], path.times_s, one) for one in grown]
    spells = tuple(
        (name, _estimate([float(row[n, 1] - row[n, 0]) for row in rows])) for n, (name, _, _) in enumerate(edges)
    )
    found = caution(curves, path.times_s, path.temps_c)
    return Growth(organism, found, _estimate([float(one[-1]) for one in grown]), spells)


def _estimate(grown_log10: Iterable[float]) -> Estimate:
    values = list(grown_log10)
    low = min(MOST_LOG10, min(values) / SLOWER_RATIO)
    high = min(MOST_LOG10, max(values) * FASTER_RATIO)
    return Estimate(min(max(sum(values) / len(values), low), high), low, high)
