"""A whole formula in a kitchen: every stage with its temperatures, rise, length and loss, each with an interval.

The clock starts when the mixing of the dough begins; preferments and soakers end there, so they begin before it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from smallhours.bakery.formula.amounts import percentages, unit_amounts
from smallhours.bakery.formula.balance import balance
from smallhours.bakery.formula.document import Formula, Place, Stage, Way
from smallhours.bakery.formula.leaven import leaven_of
from smallhours.bakery.formula.yeast import yeast_form
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process import habits
from smallhours.errors import BadInput, OutOfRange
from smallhours.forecast.baked import bake_stage
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.cool_moments import finish_of, moments_of
from smallhours.forecast.cooled import COOLING_PLACES, cool_stage, cooling_of
from smallhours.forecast.ensemble import Ensemble, Prior, draw, estimates, least_known, quantiles, share_of
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.osmotic import dissolved, slowed_factors
from smallhours.forecast.parameters import NUDGES, Parameters
from smallhours.forecast.raising import Raising
from smallhours.forecast.stage_forecast import CurvePoint, Mover, StageForecast, Warmth
from smallhours.forecast.stage_steps import Step, hands_stage, stand_stage
from smallhours.forecast.volume import gas_room
from smallhours.forecast.walk import IN_THE_AIR, Dough

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_DOUGHS = ("dough", "preferment", "batter", "soaker")
_LEAST_YEAST_PERCENT, MOST_YEAST_PERCENT = 0.01, 5.0  # as instant yeast, on flour
_USUAL_NIGHT_S = 10 * 3600.0
_MOST_LOSS_PERCENT = 55.0


@dataclass(frozen=True)
class FormulaForecast:
    """The forecast of one formula.

    ``to_oven``, ``ready``: seconds from the start of the mixing to the beginning of the bake (None if it is not baked)
    and to the end of the last stage. ``moved_by``, ``least_known``: of ``ready``. ``curve``: of the dough itself.
    ``start``: when the mixing begins, if that was said. ``draws``: every member's ``ready`` and ``oven``.
    """

    formula: Formula
    stages: tuple[StageForecast, ...]
    to_oven: Estimate | None
    ready: Estimate
    moved_by: Mover | None
    least_known: str | None
    curve: tuple[CurvePoint, ...]
    members: int
    seed: int
    start: dt.datetime | None = None
    draws: Mapping[str, Floats] = field(default_factory=dict, compare=False, repr=False)

    def stage(self, key: str) -> StageForecast:
        """The first stage of that key. Raises BadInput."""
        for stage in self.stages:
            if stage.key == key:
                return stage
        known = ", ".join(stage.key for stage in self.stages)
        raise BadInput(f"formula {self.formula.id!r} has no stage {key!r} (it has: {known})")

    def at(self, t_s: float) -> dt.datetime | None:
        """The instant so many seconds after the start of the mixing, if that is known."""
        return None if self.start is None else self.start + dt.timedelta(seconds=t_s)


def forecast_formula(
    formula: Formula, pantry: Pantry, conditions: Conditions, ensemble: Ensemble | None = None
) -> FormulaForecast:
    """What each stage of a (joined) formula will take and end with, under these conditions.

    Raises: BadInput for a formula without a stage of its dough or a way it does not have, OutOfRange for a dose of
    yeast that cannot be, NotFound if the kitchen lacks a place a stage needs.
    Source: gas in proportion to yeast's activity (``science.yeast_activity``) in layers of the dough
    (``science.heat_path``), moved from the baker's own reference, so that only ratios count.
    """
    return _Forecast(formula, pantry, conditions, ensemble or draw()).made()


def forecast_part(
    formula: Formula, pantry: Pantry, conditions: Conditions, part_id: str, ensemble: Ensemble | None = None
) -> tuple[StageForecast, ...]:
    """The same for one part that feeds the dough (a preferment), alone: its stages, which end as the mixing starts.

    Raises: BadInput for a part that has no stages, and as ``forecast_formula``.
    """
    if not any(stage.kind != "weigh" for stage in formula.stages_of(part_id)):
        raise BadInput(f"part {part_id!r} of formula {formula.id!r} has no stages: there is nothing to forecast")
    made = _Forecast(formula, pantry, conditions, ensemble or draw())
    return tuple(made.of_part(part_id))


def dose_ratio(formula: Formula, pantry: Pantry, yeast_percent: float | None) -> float:
    """How many times its own yeast a formula is to have; ``yeast_percent``: of all flour, in the form it names.

    Raises: BadInput if it has no yeast, OutOfRange for a dose outside 0.01 to 5 % of flour, as instant yeast.
    """
    if yeast_percent is None:
        return 1.0
    own_percent = own_yeast_percent(formula, pantry)
    ratio = yeast_percent / own_percent
    instant = balance(formula, pantry).yeast_percent * ratio
    if not _LEAST_YEAST_PERCENT <= instant <= MOST_YEAST_PERCENT:
        raise OutOfRange(
            f"the yeast must be {_LEAST_YEAST_PERCENT:g} to {MOST_YEAST_PERCENT:g} % of flour, as instant yeast "
            f"(found {instant:g} %; the formula has {own_percent:g} %)"
        )
    return ratio


def own_yeast_percent(formula: Formula, pantry: Pantry) -> float:
    """A formula's own yeast in percent of all flour, in the form it names. Raises BadInput if it has none."""
    shares = percentages(formula, pantry, formula.main, "total")
    percent = sum(value for key, value in shares.items() if yeast_form(pantry.find(key)) is not None)
    if percent <= 0:
        raise BadInput(f"formula {formula.id!r} has no yeast to give another dose of (a culture is fed: ask starter)")
    return percent


def ways_of(stage: Stage, pieces: int) -> tuple[Way, ...]:
    """All ways through a stage, its own first."""
    return (habits.main_way(stage, pieces), *stage.instead)


class _Forecast:
    """One formula being forecast."""

    def __init__(self, formula: Formula, pantry: Pantry, conditions: Conditions, ensemble: Ensemble) -> None:
        self.formula, self.pantry, self.conditions, self.ensemble = formula, pantry, conditions, ensemble
        self.parameters = Parameters(ensemble, dose_ratio(formula, pantry, conditions.yeast_percent))
        known = {stage.key for stage in formula.stages}
        for name in (*conditions.ways, *conditions.lengths_s):
            if name not in known:
                raise BadInput(f"formula {formula.id!r} has no stage {name!r} (it has: {', '.join(sorted(known))})")
        self.meant_room_c = next(
            (
                stage.at_temp_c
                for stage in formula.stages
                if stage.at_temp_c is not None and habits.place_of(stage) in ("room", "bench", "rack")
            ),
            None,
        )
        self.amounts = unit_amounts(formula, pantry, conditions.dough_mass_g)
        self.finish = finish_of(formula, pantry, self.amounts, conditions.topping)

    def made(self) -> FormulaForecast:
        """The forecast."""
        import numpy as np

        main = self._main_parts()
        if not any(stage.kind != "weigh" for part in main for stage in self.formula.stages_of(part)):
            raise BadInput(
                f"formula {self.formula.id!r} has no stages: without a reference there is nothing to forecast"
            )
        before = [stage for part in self._parts_before(main) for stage in self.of_part(part)]
        walked = list(self._walked(main))
        stages = tuple(stage for stage, _ in walked)
        lengths = [step.length for _, step in walked]
        to_oven = [step.length for stage, step in walked if stage.end_s <= self._oven_s(stages)]
        total = np.sum(lengths, axis=0)
        rows = {"ready": total[: self.ensemble.members]}
        if any(stage.kind == "bake" for stage in stages):
            rows["oven"] = np.sum([total * 0, *to_oven], axis=0)[: self.ensemble.members]
        found = estimates(rows, self.ensemble.weights)
        return FormulaForecast(
            self.formula,
            (*before, *stages),
            found.get("oven"),
            found["ready"],
            self._moved_by(total),
            _words(least_known(rows["ready"], self.ensemble)),
            tuple(self._curve(walked)),
            self.ensemble.members,
            self.ensemble.seed,
            self.conditions.start,
            rows,
        )

    def of_part(self, part_id: str) -> list[StageForecast]:
        """The stages of one part alone."""
        return [stage for stage, _ in self._walked((part_id,), ends_at_start=True)]

    def _oven_s(self, stages: tuple[StageForecast, ...]) -> float:
        return next((stage.start_s for stage in stages if stage.kind == "bake"), stages[-1].end_s) + 1e-6

    def _main_parts(self) -> tuple[str, ...]:
        """The part that is divided, after the parts that its dough was before (a dough that is then laminated)."""
        chain = [self.formula.main]
        while not any(stage.kind == "mix" for stage in self.formula.stages_of(chain[0])):
            fed = [line.part for line in self.formula.part(chain[0]).lines if line.part is not None]
            doughs = [p for p in fed if self.formula.stages_of(p) and self.formula.part(p).kind in _DOUGHS]
            if not doughs:
                break
            chain.insert(0, max(doughs, key=lambda p: self.amounts.parts[p].mass_g))
        return tuple(chain)

    def _parts_before(self, main: tuple[str, ...]) -> Iterator[str]:
        for part in self.formula.parts:
            if part.id not in main and part.kind in _DOUGHS and self.formula.stages_of(part.id):
                yield part.id

    def _walked(self, parts: tuple[str, ...], ends_at_start: bool = False) -> Iterator[tuple[StageForecast, Step]]:
        """Every stage of these parts in a row."""
        dough = self._dough(parts[0])
        made: list[tuple[Stage, Way, Step, StageForecast]] = []
        cut = habits.chain_of(self.formula.stages_of(parts[-1])).of_lot if parts[-1] == self.formula.main else ()
        for part_id in parts:
            for stage in self.formula.stages_of(part_id):
                if stage.kind == "weigh":
                    continue
                dough.in_pieces = dough.in_pieces or stage in cut
                way = self._way(stage)
                start_s, warmth = dough.t_s, self._warmth(dough)
                step = self._step(dough, stage, way)
                made.append((stage, way, step, self._forecast(part_id, stage, way, step, start_s, warmth, dough)))
        shift_s = dough.t_s if ends_at_start else 0.0
        for _, _, step, forecast in made:
            yield _shifted(forecast, -shift_s), step

    def _dough(self, part_id: str) -> Dough:
        part = self.formula.part(part_id)
        room_c = self.meant_room_c
        if room_c is None or not self.conditions.as_written:
            import numpy as np

            room_c = float(self.conditions.place_c("room", np.zeros(1), 0.0, None)[0])
        meant_c = part.target_temp_c if part.target_temp_c is not None else room_c
        asked = self.conditions.dough_temp_c if part_id in self._main_parts() else None
        leaven, ripens = leaven_of(self.amounts, self.pantry, part_id), part.kind == "preferment"
        fed = self.conditions.fed_ratio if ripens else 1.0
        return Dough(
            self.formula,
            self.conditions,
            self.parameters,
            (meant_c if asked is None else asked, meant_c),
            Raising(leaven, self.parameters, ripens, self._slowed(part_id), fed),
            gas_room(self.amounts, self.pantry, part_id, self.conditions.kitchen.altitude_m),
            self.meant_room_c,
            self.amounts.parts[part_id].mass_g,
        )

    def _slowed(self, part_id: str) -> Floats | float:
        """How much slower other sugar and salt than its own make a dough, here."""
        import numpy as np

        sugar, salt = self.conditions.sugar_percent, self.conditions.salt_percent
        if (sugar is None and salt is None) or part_id not in self._main_parts():
            return 1.0
        own = dissolved(self.amounts, self.pantry, part_id)
        changed = dissolved(self.amounts, self.pantry, part_id, sugar, salt)
        factors = slowed_factors(own, changed, self.ensemble)
        return np.concatenate((factors, np.full(len(NUDGES), factors[0])))

    def _way(self, stage: Stage) -> Way:
        ways = ways_of(stage, self._pieces())
        asked: Place | None = self.conditions.ways.get(stage.key)
        if asked is None:
            return ways[0]
        for way in ways:
            if way.place == asked:
                return way
        if asked == "fridge" and stage.kind in habits.LIVING:
            length_s = self.conditions.lengths_s.get(stage.key, _USUAL_NIGHT_S)
            return Way(place="fridge", duration_s=length_s, name="A night that the formula does not know")
        there = ", ".join(way.place for way in ways)
        raise BadInput(f"stage {stage.key!r} of {self.formula.id!r} is not done in the {asked} (it is in: {there})")

    def _pieces(self) -> int:
        own = self.formula.output
        if own is None:
            return 1
        mass_g = self.conditions.piece_mass_g or own.piece_mass_g or own.baked_mass_g or 1.0
        return max(1, int(self.conditions.dough_mass_g / mass_g))

    def _step(self, dough: Dough, stage: Stage, way: Way) -> Step:
        if stage.kind == "bake":
            return bake_stage(dough, stage, max(way.duration_s, 1.0))
        if stage.kind == "cool" and dough.baked and way.place in COOLING_PLACES and way.duration_s > 0:
            bag_c, cut_c = self.conditions.bag_c, self.conditions.cut_core_c
            cooling = cooling_of(dough, way)
            step = cool_stage(dough, stage, way, cooling)
            step.moments = moments_of(cooling, self.parameters, self.finish, bag_c, cut_c)
            return step
        if way.place in IN_THE_AIR and habits.attention_of(stage) != "throughout" and way.duration_s > 0:
            return stand_stage(dough, stage, way)
        return hands_stage(dough, stage, way.duration_s)

    def _warmth(self, dough: Dough) -> dict[str, Floats]:
        members = self.ensemble.members
        return {"core": dough.core_c[:members], "mean": dough.here_c[:members], "skin": dough.skin_c[:members]}

    def _forecast(
        self, part: str, stage: Stage, way: Way, step: Step, start_s: float, before: dict[str, Floats], dough: Dough
    ) -> StageForecast:
        rows = self._rows(step, before, dough)
        most, weights = (step.most_ripeness or 1.0) * (1 + 1e-9), self.ensemble.weights
        over = {name: share_of(rows[name] > most, weights) for name in ("ripeness", "ripeness_cold") if name in rows}
        found = estimates(rows, self.ensemble.weights)
        return StageForecast(
            part=part,
            key=stage.key,
            name=stage.name or stage.kind,
            kind=stage.kind,
            place=way.place,
            start_s=start_s,
            end_s=start_s + step.kept_s,
            reference_s=way.duration_s,
            air_c=step.air_c,
            at_start=Warmth(found["start core"], found["start mean"], found["start skin"]),
            at_end=Warmth(found["end core"], found["end mean"], found["end skin"]),
            rise=found["rise"],
            length=found["length"],
            earliest=found["earliest"],
            latest=found["latest"],
            basis=step.basis,
            rests_on=step.because + "; no bake logged yet",
            ripeness=found.get("ripeness"),
            most_ripeness=step.most_ripeness,
            ripeness_cold=found.get("ripeness_cold"),
            over_share=over.get("ripeness"),
            over_cold_share=over.get("ripeness_cold"),
            loss_percent=self._loss(part, stage, step),
            crust=found.get("crust"),
            moments=step.moments,
            reached=self._reached(step),
            moved_by=self._moved_by(step.length),
            least_known=_words(least_known(rows["length"], self.ensemble)),
            draws=rows,
        )

    def _rows(self, step: Step, before: dict[str, Floats], dough: Dough) -> dict[str, Floats]:
        members = self.ensemble.members
        rows = {f"start {name}": row for name, row in before.items()}
        rows |= {f"end {name}": row for name, row in self._warmth(dough).items()}
        rows |= {"length": step.length[:members], "earliest": step.earliest[:members], "latest": step.latest[:members]}
        rows["rise"] = dough.rise[:members]
        more = (("ripeness", step.ripeness), ("ripeness_cold", step.ripeness_cold), ("crust", step.crust))
        rows |= {name: found[:members] for name, found in more if found is not None}
        return rows

    def _reached(self, step: Step) -> float:
        if step.reached is None:
            return 1.0
        return share_of(step.reached[: self.ensemble.members], self.ensemble.weights)

    def _loss(self, part: str, stage: Stage, step: Step) -> Estimate | None:
        own = self.formula.output
        if own is None or part not in self._main_parts():
            return None
        if stage.kind == "bake" and step.loss_ratio is not None:
            more = own.bake_loss_percent * step.loss_ratio[: self.ensemble.members]
            points = more + self.ensemble.values("bake_loss")
            return estimates({"loss": points.clip(0.0, _MOST_LOSS_PERCENT)}, self.ensemble.weights)["loss"]
        loss = {"mix": own.mix_loss_percent, "divide": own.divide_loss_percent}.get(stage.kind)
        return None if loss is None else Estimate.sure(loss)

    def _moved_by(self, lengths: Floats) -> Mover | None:
        changes = lengths[self.ensemble.members :] - lengths[0]
        index = int(abs(changes).argmax())
        if not abs(changes[index]) >= 1.0:
            return None
        return Mover(NUDGES[index].name, NUDGES[index].words, float(changes[index]))

    def _curve(self, walked: list[tuple[StageForecast, Step]]) -> Iterator[CurvePoint]:
        import numpy as np

        first = walked[0][0]
        yield CurvePoint(first.start_s, first.at_start.mean, Estimate.sure(1.0))
        rows = [(stage.start_s + t_s, temps, rises) for stage, step in walked for t_s, temps, rises in step.curve]
        low, middle, high = quantiles(np.array([[t, r] for _, t, r in rows]), self.ensemble.weights)
        for n, (t_s, _, _) in enumerate(rows):
            temp, rise = (Estimate(float(middle[n, k]), float(low[n, k]), float(high[n, k])) for k in (0, 1))
            yield CurvePoint(t_s, temp, rise)


def _words(prior: Prior | None) -> str | None:
    return None if prior is None else prior.words


def _shifted(stage: StageForecast, by_s: float) -> StageForecast:
    return stage if by_s == 0 else replace(stage, start_s=stage.start_s + by_s, end_s=stage.end_s + by_s)
