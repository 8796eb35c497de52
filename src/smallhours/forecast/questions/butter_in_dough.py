"""What becomes of the butter in a formula: the layers it lies in, the filling it binds, the dough it is mixed into."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.bakery.formula.amounts import unit_amounts
from smallhours.bakery.formula.document import Part
from smallhours.bakery.process.bowl import is_butter
from smallhours.forecast.butter_block import softness
from smallhours.forecast.ensemble import estimates, share_of
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.questions.answer import Number
from smallhours.forecast.questions.here import Here
from smallhours.forecast.stage_forecast import StageForecast
from smallhours.reference.defaults import fat_window
from smallhours.science.ranges import checked

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Pair = tuple[StageForecast, StageForecast]
"""A stage as it is here and as the formula means it."""
_BOUND_FRACTION = 0.10
"""A filling with this much butter in its mass is held by it (judgement)."""
_LOOK = 0.1
_WITHIN_K = 2.0
"""Whoever judges butter by hand is this far off (table fat_windows)."""


@dataclass(frozen=True)
class Told:
    """One thing said of the butter in a formula."""

    sentence: str
    numbers: tuple[Number, ...]
    look: bool


def butter_in(here: Here, butter_c: float | None = None) -> tuple[Told, ...]:
    """What is said of the butter in a formula: its layers, its fillings, its dough; nothing if it has none.

    What the formula itself has is trusted: under its own conditions its layers hold, its filling spreads, its butter
    works in, and so they do within 2 K of them; beyond, as the table's windows have it. A baker whose dough laminates
    at 8 °C has butter that bends there. ``butter_c``: of the butter that goes into the dough, if not the formula's own.

    Raises: OutOfRange for a butter that cannot be; else as ``forecast_formula``.
    """
    asked = here.asked()
    if butter_c is not None:
        checked(butter_c, "the butter", -20.0, 40.0, "°C")
    made = asked.forecast().stages
    meant = asked.forecast(as_written=True, dough_temp_c=None, ways={}, lengths_s={}).stages
    pairs = list(zip(made, meant, strict=True))
    return (*_layers(here, pairs), *_fillings(here, pairs), *_doughs(here, pairs, butter_c))


def _layers(here: Here, pairs: list[Pair]) -> list[Told]:
    """Each sheeting after the butter is in: layers break if colder, smear if warmer than they may be."""
    import numpy as np

    formula, weights = here.formula, here.ensemble.weights
    assert formula is not None
    if not any(part.kind == "roll-in" for part in formula.parts):
        return []
    sheets = [(a, b) for a, b in pairs if a.kind == "sheet" and a.part == formula.main]
    if not sheets:
        return []
    table = softness(here.ensemble, fat_window("roll-in"))
    coldest = np.minimum.reduce([b.draws["start mean"] for _, b in sheets])
    warmest = np.maximum.reduce([b.draws["end mean"] for _, b in sheets])
    low, high = np.minimum(table.firm_c, coldest - _WITHIN_K), np.maximum(table.soft_c, warmest + _WITHIN_K)
    breaks = {a.name: share_of(a.draws["start mean"] < low, weights) for a, _ in sheets}
    smears = {a.name: share_of(a.draws["end mean"] > high, weights) for a, _ in sheets}
    temps = estimates({a.name: a.draws["start mean"] for a, _ in sheets}, weights)
    return [_layers_told(breaks, smears, temps, estimates({"low": low, "high": high}, weights))]


def _layers_told(
    breaks: dict[str, float], smears: dict[str, float], temps: dict[str, Estimate], edges: dict[str, Estimate]
) -> Told:
    cold, warm = (max(shares, key=lambda name: shares[name]) for shares in (breaks, smears))
    numbers = [Number(f"dough at {name}", "°C", value) for name, value in temps.items()]
    numbers += [Number("layers break", "fraction", Estimate.sure(breaks[cold]))]
    numbers += [Number("layers smear", "fraction", Estimate.sure(smears[warm]))]
    held = f"they hold from {edges['low'].median:.0f} to {edges['high'].median:.0f} °C"
    if max(breaks[cold], smears[warm]) < _LOOK:
        sentence = f"Its layers hold at every sheeting ({held})."
    elif breaks[cold] >= smears[warm]:
        sentence = (
            f"At {cold!r} its layers break in {_cases(breaks[cold])} ({held}): the dough is "
            f"{temps[cold].median:.0f} °C; let it stand in the room first."
        )
    else:
        sentence = f"At {warm!r} its layers smear in {_cases(smears[warm])} ({held}): chill it longer, work faster."
    return Told(sentence, tuple(numbers), max(breaks[cold], smears[warm]) >= _LOOK)


def _fillings(here: Here, pairs: list[Pair]) -> list[Told]:
    """Each filling that butter binds: when it is spread, and in the proof after it."""
    formula = here.formula
    assert formula is not None
    found = []
    for part in formula.parts:
        if part.kind != "filling" or not _bound(here, part):
            continue
        own = formula.stages_of(formula.main)
        used = next((stage.key for stage in own if part.id in stage.uses), None)
        at = next((i for i, (a, _) in enumerate(pairs) if a.key == used and a.part == formula.main), None)
        if at is not None:
            proofs = [pair for pair in pairs[at:] if pair[0].kind == "proof"]
            found.append(_filling(here, part, proofs[-1] if proofs else None))
    return found


def _filling(here: Here, part: Part, proof: Pair | None) -> Told:
    import numpy as np

    soft, weights = softness(here.ensemble, fat_window("spreadable")), here.ensemble.weights
    stands_c = here.fridge_c() if part.keeps_in in ("fridge", "freezer") else here.room_c()
    meant_c = stands_c if part.target_temp_c is None else part.target_temp_c
    low, high = soft.firm_c, soft.soft_c
    if part.target_temp_c is not None:
        low, high = np.minimum(low, meant_c - _WITHIN_K), np.maximum(high, meant_c + _WITHIN_K)
    tears, runs, later = share_of(low > stands_c, weights), share_of(high < stands_c, weights), 0.0
    if proof is not None:
        holds = np.maximum(soft.soft_c, proof[1].draws["end mean"] + _WITHIN_K)
        later = share_of(proof[0].draws["end mean"] > holds, weights)
    numbers = (
        Number(f"{part.id} tears the dough", "fraction", Estimate.sure(tears)),
        Number(f"{part.id} runs when it is spread", "fraction", Estimate.sure(runs)),
        Number(f"{part.id} runs in the proof", "fraction", Estimate.sure(later)),
    )
    if tears >= _LOOK:
        told = f"at {stands_c:g} °C it tears the dough in {_cases(tears)}: let it stand in the room first"
    elif runs >= _LOOK:
        told = f"at {stands_c:g} °C it runs in {_cases(runs)}: cool it first"
    else:
        told = f"at {stands_c:g} °C it spreads"
    if proof is not None and later >= _LOOK:
        told += f"; in the proof at {proof[0].at_end.mean.median:.0f} °C it runs out in {_cases(later)}"
    return Told(f"{part.name}: {told}.", numbers, max(tears, runs, later) >= _LOOK)


def _doughs(here: Here, pairs: list[Pair], butter_c: float | None) -> list[Told]:
    """Butter that is mixed into a dough: hard, it stays in lumps; in a warm dough, it oils off."""
    import numpy as np

    formula, weights = here.formula, here.ensemble.weights
    assert formula is not None
    found = []
    for part in formula.parts:
        mixed = next(((a, b) for a, b in pairs if a.part == part.id and a.kind == "mix"), None)
        lines = [line for line in part.lines if line.ingredient and is_butter(here.pantry.find(line.ingredient))]
        if mixed is None or part.kind not in ("dough", "batter") or not lines:
            continue
        soft = softness(here.ensemble, fat_window("spreadable"))
        own_c = min((line.temp_c for line in lines if line.temp_c is not None), default=None)
        goes_in_c = butter_c if butter_c is not None else here.room_c() if own_c is None else own_c
        firm = soft.firm_c if own_c is None else np.minimum(soft.firm_c, own_c - _WITHIN_K)
        holds = np.maximum(soft.soft_c, mixed[1].draws["end mean"] + _WITHIN_K)
        lumps = share_of(firm > goes_in_c, weights)
        oils = share_of(mixed[0].draws["end mean"] > holds, weights)
        found.append(_dough(part, (goes_in_c, mixed[0].at_end.mean.median), lumps, oils))
    return found


def _dough(part: Part, temps_c: tuple[float, float], lumps: float, oils: float) -> Told:
    butter_c, dough_c = temps_c
    numbers = (
        Number(f"{part.id}: butter lumps", "fraction", Estimate.sure(lumps)),
        Number(f"{part.id}: butter oils off", "fraction", Estimate.sure(oils)),
    )
    if max(lumps, oils) < _LOOK:
        told = f"Butter of {butter_c:g} °C works into the dough of {dough_c:.0f} °C."
    elif lumps >= oils:
        told = f"Butter of {butter_c:g} °C stays in lumps in {_cases(lumps)}: take it softer."
    else:
        told = f"In a dough of {dough_c:.0f} °C butter oils off in {_cases(oils)}: make it colder."
    return Told(told, numbers, max(lumps, oils) >= _LOOK)


def _bound(here: Here, part: Part) -> bool:
    assert here.formula is not None
    masses = unit_amounts(here.formula, here.pantry, pieces=1).ingredients(part.id)
    butter = sum(mass_g for key, mass_g in masses.items() if is_butter(here.pantry.find(key)))
    return butter >= _BOUND_FRACTION * sum(masses.values()) > 0


def _cases(share: float) -> str:
    return f"{share * 100:.0f} of 100 cases"
