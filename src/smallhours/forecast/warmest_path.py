"""How warm the warmest layer of what can spoil is, from when it is made until it is baked or sold.

Where bacteria are asked about, the warmest place counts: the core while a dough cools, the skin while it warms. All on
the warm side: the upper end of the interval, and a dough that is cooling has its core no colder than at its end.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from smallhours.bakery.formula.amounts import unit_amounts
from smallhours.bakery.formula.document import Formula, Part, Place
from smallhours.bakery.process.cautions import COLD_HOLDING_C, spoils
from smallhours.errors import BadInput
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.formula_forecast import FormulaForecast
from smallhours.forecast.sizes import DENSITY_G_PER_MM3, bulk_size
from smallhours.forecast.stage_forecast import CurvePoint, StageForecast, Warmth
from smallhours.reference.defaults import heat_transfer_w_per_m2_k
from smallhours.science.ranges import checked

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from smallhours.forecast.questions.answer import Asked

    Floats = NDArray[np.float64]

_FED = ("dough", "batter", "preferment", "soaker")
_MOST_CORE_RATIO = 2.5  # how much further than the mean a sphere's core is from the place (a parabola across it)
_SETTLED_K = 0.5
_LONGEST_GAP_S = 2 * 3600.0
_KEPT_STEPS = 49
_USUAL_FRESH_S = 4 * 3600.0


@dataclass(frozen=True)
class Spell:
    """A part of a path that has a name: a stage, or being kept."""

    name: str
    begin_s: float
    end_s: float


@dataclass(frozen=True, eq=False)
class WarmPath:
    """What is held how warm: ``times_s`` rising from 0, ``temps_c`` of the warmest layer; ``spells`` in a row.

    ``baked``: it goes into the oven at the end.
    """

    part: str
    name: str
    times_s: Floats
    temps_c: Floats
    spells: tuple[Spell, ...]
    baked: bool = False

    @property
    def warm_s(self) -> float:
        """How long it is warmer than cold holding."""
        import numpy as np

        times = np.linspace(self.times_s[0], self.times_s[-1], 2000)
        temps = np.interp(times, self.times_s, self.temps_c)
        return float((temps > COLD_HOLDING_C + 1e-9).mean() * (times[-1] - times[0]))

    @property
    def warmest_c(self) -> float:
        """The warmest it gets."""
        return float(self.temps_c.max())


def warm_paths(asked: Asked, made: FormulaForecast) -> tuple[WarmPath, ...]:
    """A path for each part of a formula that holds egg or dairy (butter alone does not count).

    A dough from its mixing, a preferment or soaker through its own stages; all up to the bake. A filling, glaze or wash
    as long as it keeps, where it keeps, then on the dough up to the bake; what goes on after the bake, in the room as
    long as the formula is sold.
    """
    formula, oven = asked.formula, any(stage.kind == "bake" for stage in made.stages)
    found = []
    for part in formula.parts:
        if not _spoils(asked, part):
            continue
        own = [s for s in made.stages if s.part == part.id]
        if part.kind in _FED and own:
            main = own[0].start_s >= 0.0
            found.append(_joined(part, _through(made, _to_bake(made.stages, 0.0) if main else own), oven))
        else:
            used = _use(formula, made, part)
            stretches = [*_kept(asked, part), *_used(asked, made, used)]
            if stretches:
                found.append(
                    _joined(part, stretches, used is not None and bool(_to_bake(made.stages, used.start_s)) and oven)
                )
    mains = {stage.part for stage in made.stages if stage.start_s >= 0.0}
    fed = [path for path in found if path.part in mains]
    # a dough and the laminated dough it becomes go the same way: once is enough
    return tuple(path for path in found if path not in fed[1:])


def measured_path(part: str, name: str, readings: Iterable[tuple[float, float]]) -> WarmPath:
    """What a probe said: seconds and °C, straight in between.

    Raises: BadInput for fewer than two readings, times that do not rise, or a gap of more than two hours; OutOfRange
    for a temperature outside -40 to 150 °C or what is not a number.
    """
    import numpy as np

    rows = list(readings)
    if len(rows) < 2:
        raise BadInput(f"a path needs two readings or more, each with its time (found {len(rows)})")
    for at_s, temp_c in rows:
        checked(at_s, "the time of a reading", -1e9, 1e9, "s")
        checked(temp_c, "the reading of a probe", -40.0, 150.0, "°C")
    for (before_s, _), (after_s, _) in pairwise(rows):
        if not before_s < after_s:
            raise BadInput(f"the times of a path must rise (found {after_s:g} s after {before_s:g} s)")
        if after_s - before_s > _LONGEST_GAP_S:
            raise BadInput(
                f"the path leaves a gap of {(after_s - before_s) / 3600:.1f} h, in which bacteria could have done "
                "anything: give a reading every two hours or oftener"
            )
    times = np.array([at_s for at_s, _ in rows]) - rows[0][0]
    return WarmPath(part, name, times, np.array([c for _, c in rows]), (Spell("as read", 0.0, float(times[-1])),))


def _spoils(asked: Asked, part: Part) -> bool:
    masses = unit_amounts(asked.formula, asked.pantry, pieces=1).ingredients(part.id)
    return spoils(asked.pantry.find(key) for key, mass_g in masses.items() if mass_g > 0)


# a stretch: its name and rows of (seconds after its beginning, °C)
_Stretch = tuple[str, list[tuple[float, float]]]


def _joined(part: Part, stretches: Iterable[_Stretch], baked: bool) -> WarmPath:
    """Stretches one after the other; a jump of temperature between them takes a second."""
    import numpy as np

    rows: list[tuple[float, float]] = []
    spells = []
    at_s = 0.0
    for name, points in stretches:
        begin_s = at_s
        for after_s, temp_c in points:
            t_s = begin_s + after_s
            if rows and t_s <= rows[-1][0]:
                t_s = rows[-1][0] + 1.0
            rows.append((t_s, temp_c))
        at_s = max(begin_s, rows[-1][0])
        spells.append(Spell(name, begin_s, at_s))
    times, temps = (np.array(column) for column in zip(*rows, strict=True))
    return WarmPath(part.id, part.name, times, temps, tuple(spells), baked)


def _to_bake(stages: tuple[StageForecast, ...], from_s: float) -> list[StageForecast]:
    """The stages of the dough from a time up to its bake, mixing to oven."""
    baked_s = next((stage.start_s for stage in stages if stage.kind == "bake"), float("inf"))
    return [stage for stage in stages if from_s - 1e-6 <= stage.start_s < baked_s and stage.end_s > stage.start_s]


def _through(made: FormulaForecast, stages: Iterable[StageForecast]) -> Iterator[_Stretch]:
    for stage in stages:
        inside = [point for point in made.curve if stage.start_s < point.t_s < stage.end_s - 1e-6]
        first, last = _hottest(stage.at_start), _hottest(stage.at_end)
        points = [(point.t_s - stage.start_s, _warmest(stage, point)) for point in inside]
        yield stage.name, [(0.0, first), *points, (stage.end_s - stage.start_s, last)]


def _hottest(warmth: Warmth) -> float:
    return max(warmth.core.high, warmth.mean.high, warmth.skin.high)


def _warmest(stage: StageForecast, point: CurvePoint) -> float:
    """The warmest layer during a stage: of a cooling dough its core, of a warming one its skin."""
    mean, first, last = point.temp_c.high, _hottest(stage.at_start), _hottest(stage.at_end)
    air_c, end = stage.air_c, stage.at_end
    if air_c is None or stage.at_end.mean.median >= stage.at_start.mean.median:
        return max(mean, min(first, last)) + max(0.0, end.skin.high - end.mean.high)
    gap = end.mean.high - air_c
    ratio = (end.core.high - air_c) / gap if gap > _SETTLED_K else _MOST_CORE_RATIO
    return max(mean, min(first, air_c + (mean - air_c) * min(max(ratio, 1.0), _MOST_CORE_RATIO)))


def _kept(asked: Asked, part: Part) -> Iterator[_Stretch]:
    """A bowl of it standing as long as it keeps: its warmest layer, from the exact air and the laziest surface."""
    import numpy as np

    from smallhours.science.heat_path import QUICK, Pieces, Places, follow

    if not part.keeps_s:
        return
    conditions, place = asked.conditions, part.keeps_in or "room"
    air_c = _air_c(conditions, place)
    start_c = part.target_temp_c if part.target_temp_c is not None else _air_c(conditions, "room")
    mass_g = unit_amounts(asked.formula, asked.pantry, conditions.dough_mass_g).parts[part.id].mass_g
    surface = heat_transfer_w_per_m2_k("fridge-still-covered" if place == "fridge" else "room").low
    pieces = Pieces("sphere", bulk_size(max(mass_g, 50.0)).radius_mm, start_c, DENSITY_G_PER_MM3 * 1e6)
    times = np.linspace(0.0, 1.0, _KEPT_STEPS) ** 2 * part.keeps_s
    history = follow(pieces, Places((0.0, part.keeps_s), air_c, surface), times, resolution=QUICK)
    warmest = np.maximum(history.core_c[0], history.skin_c[0])
    yield f"kept in the {place}", list(zip(times.tolist(), warmest.tolist(), strict=True))


def _used(asked: Asked, made: FormulaForecast, stage: StageForecast | None) -> Iterator[_Stretch]:
    """Where it goes: with the dough up to the bake, or, put on after it, out in the room until it is sold."""
    if stage is None:
        return
    left = _to_bake(made.stages, stage.start_s)
    if left and any(s.kind == "bake" for s in made.stages):
        yield from _through(made, left)
    else:
        room_c = _air_c(asked.conditions, "room")
        yield "on what is sold", [(0.0, room_c), (asked.formula.fresh_s or _USUAL_FRESH_S, room_c)]


def _use(formula: Formula, made: FormulaForecast, part: Part) -> StageForecast | None:
    for stage in formula.stages_of(formula.main):
        if part.id in stage.uses:
            return next((s for s in made.stages if s.part == formula.main and s.key == stage.key), None)
    return None


def _air_c(conditions: Conditions, place: Place) -> float:
    import numpy as np

    there: Place = place if place in ("fridge", "freezer", "proofer") else "room"
    return float(conditions.place_c(there, np.zeros(1), 0.0, None)[0])
