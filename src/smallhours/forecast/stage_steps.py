"""How long each kind of stage takes, for every member of an ensemble, from the baker's own reference.

* Living stages out of the cold last until they have made the gas that the reference makes.
* Nights in the cold are kept as long as written; the time in the room after them lasts until the gas of both together
  is that of the reference.
* Chilling lasts until the dough is as cold as the reference makes it, never less than the baker's least.
* A bake lasts as ``baked`` says.
* Everything else takes the formula's own time.

Under reference conditions the reference comes out exactly, whatever the parameters are.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from smallhours.bakery.formula.document import Stage, Way
from smallhours.bakery.process import habits
from smallhours.bakery.process.habits import LIVING
from smallhours.forecast.course import MOST_OVERSHOOT
from smallhours.forecast.ensemble import quantiles
from smallhours.forecast.parameters import COLD
from smallhours.forecast.stage_forecast import Basis, Moment
from smallhours.forecast.stand import at_time, reached_s
from smallhours.forecast.walk import Dough, Inside, Leg, times_for
from smallhours.forecast.windows import MOST_FACTOR

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_LONGEST_TEMPER_S = 12 * 3600.0
_CURVE_POINTS = 8
_SETTLED_K = 2.0


@dataclass(eq=False)
class Step:
    """What came of one stage, for every member and nudge: lengths (s), gas as share of the reference, rows of a curve.

    ``length``, ``earliest``, ``latest``, ``ripeness``, ``ripeness_cold`` (out of the cold): (members + nudges,).
    ``kept_s``: how long it was kept. ``loss_ratio``, ``crust``: loss and browning over those of the formula's own bake.
    ``curve``: times (s from the stage's start), mean temperatures and rises, each (times, members).
    """

    kept_s: float
    length: Floats
    earliest: Floats
    latest: Floats
    basis: Basis
    because: str
    air_c: float | None = None
    ripeness: Floats | None = None
    most_ripeness: float | None = None
    reached: NDArray[np.bool_] | None = None
    curve: list[tuple[float, Floats, Floats]] = field(default_factory=list)
    ripeness_cold: Floats | None = None
    loss_ratio: Floats | None = None
    crust: Floats | None = None
    moments: tuple[Moment, ...] = ()


def stand_stage(dough: Dough, stage: Stage, way: Way) -> Step:
    """A stage that the dough stands through, in this way."""
    living = dough.living and not dough.baked
    if living and way.place in COLD and (stage.kind in LIVING or stage.kind == "retard"):
        return _night(dough, stage, way)
    if way.at_temp_c is not None and stage.kind == "chill" and not dough.baked:
        return _chilled(dough, stage, way)
    if way.at_temp_c is not None and living and stage.kind in LIVING:
        return _risen(dough, stage, way)
    return _kept(dough, stage, way)


def _limits(way: Way) -> tuple[float, float]:
    return (
        way.duration_s if way.min_s is None else way.min_s,
        way.duration_s if way.max_s is None else way.max_s,
    )


def _marks(dough: Dough, stage: Stage, way: Way) -> list[float]:
    asked_s = dough.conditions.lengths_s.get(stage.key)
    return [way.duration_s, *_limits(way), *([] if asked_s is None else [asked_s])]


def kept_length_s(dough: Dough, stage: Stage, length: Floats) -> float:
    """How long it is kept: as long as was asked for, else as it is most likely."""
    asked_s = dough.conditions.lengths_s.get(stage.key)
    if asked_s is not None:
        return asked_s
    members = dough.parameters.members
    return float(quantiles(length[:members], dough.parameters.ensemble.weights, (0.5,))[0])


def _risen(dough: Dough, stage: Stage, way: Way) -> Step:
    import numpy as np

    low_s, high_s = _limits(way)
    marks = _marks(dough, stage, way)
    times = times_for(marks, MOST_FACTOR * max(marks))
    leg = dough.stand(way, times, dough.t_s)
    wanted = [at_time(times, leg.meant_gas_s, t) for t in (low_s, way.duration_s, high_s)]
    if not (wanted[1] > 0).all():  # the reference itself is colder than yeast works: nothing to move it by
        return _kept(dough, stage, way)
    exact = [reached_s(times, leg.gas_s, each) for each in wanted]
    early, length, late = (np.minimum(each, times[-1]) for each in exact)
    kept_s = kept_length_s(dough, stage, length)
    made = at_time(times, leg.gas_s, kept_s)
    step = Step(
        kept_s,
        length,
        early,
        late,
        _basis(dough, leg, stage, way),
        _because(way, "by the gas yeast makes at the temperatures the dough really has"),
        float(leg.air_c[0, 0]),
        made / wanted[1],
        float((wanted[2] / wanted[1])[0]),
        np.isfinite(exact[1]),
    )
    meant_c = _meant_c(leg, way.duration_s)
    _draw(dough, step, stage, leg, (0.0, kept_s), wanted[1], 0.0, meant_c)
    dough.leave(leg, kept_s, way.duration_s)
    dough.keep(stage, step.ripeness, made, meant_c)
    return step


def _night(dough: Dough, stage: Stage, way: Way) -> Step:
    import numpy as np

    temper_s = way.temper_s or 0.0
    cold_s = max(way.duration_s - temper_s, 60.0)
    low_s, high_s = (max(t - temper_s, 60.0) for t in _limits(way))
    asked_s = dough.conditions.lengths_s.get(stage.key)
    kept_s = cold_s if asked_s is None else asked_s
    marks = [cold_s, low_s, high_s, kept_s]
    turns = [at_s for at_s, _ in dough.conditions.cold_path if at_s < max(marks)]  # where the air begins to change
    times = times_for([*marks, *turns], 0.0)
    leg = dough.stand(way, times, dough.t_s)
    made, need, most = (
        at_time(times, leg.gas_s, kept_s),
        *(at_time(times, leg.meant_gas_s, t) for t in (cold_s, high_s)),
    )
    ones, inside, grown = np.ones(dough.parameters.count), dough.inside, dough.raising.grown
    because = f"the formula's own {_said(way.duration_s)} in the cold"
    step = Step(kept_s, ones * kept_s, ones * low_s, ones * high_s, "own numbers", because, float(leg.air_c[0, 0]))
    dough.leave(leg, kept_s, cold_s)
    warm = _tempering(dough, stage, temper_s or 3600.0)
    meant_c = _meant_c(warm, temper_s) if temper_s else _meant_c(leg, cold_s)
    if temper_s and _own_way(stage, way):
        spare = at_time(warm.stood.times_s, warm.meant_gas_s, temper_s)
        need, most = need + spare, most + spare
    if not _own_way(stage, way):  # a night the formula does not know: anchored to its own way out of the cold
        need, meant_c = _meant_gas(dough, inside, grown, habits.main_way(stage, 0))
        most = need
    _draw(dough, step, stage, leg, (0.0, kept_s), need, 0.0, meant_c)
    step.ripeness_cold = made / np.where(need > 0, need, 1.0)
    if temper_s or not _own_way(stage, way):
        made = _tempered(dough, stage, way, step, warm, (need, made, meant_c))
    step.ripeness = made / np.where(need > 0, need, 1.0)
    # what the baker allows in the room it also stands in the cold, as far as dough holds gas at all
    own = habits.main_way(stage, 0)
    allowed = min(MOST_OVERSHOOT, (own.max_s or own.duration_s) / max(own.duration_s, 1.0))
    step.most_ripeness = max(allowed, float((most / np.where(need > 0, need, 1.0))[0]))
    dough.keep(stage, step.ripeness, made, meant_c)
    return step


def _own_way(stage: Stage, way: Way) -> bool:
    return way in stage.instead or way.place == habits.place_of(stage)


def _meant_gas(dough: Dough, inside: Inside, grown: Floats, way: Way) -> tuple[Floats, Floats]:
    """The gas of a way as the formula means it, for a dough as warm and as far as this; and how warm it is then."""
    times = times_for([max(way.duration_s, 60.0)], 0.0)
    leg = dough.stand(way, times, dough.t_s, inside, grown)
    return leg.meant_gas_s[-1], _meant_c(leg, way.duration_s)


def _meant_c(leg: Leg, at_s: float) -> Floats:
    """How warm the doughs that the formula means are at a time, (members,)."""
    return leg.stood.between(leg.stood.mean_c[:, leg.gas_s.shape[1] :], at_s)


def _tempering(dough: Dough, stage: Stage, temper_s: float) -> Leg:
    """Out of the cold, in the room: of the stage's own way there, or as the formula means the room elsewhere."""
    meant_c = None if habits.place_of(stage) in COLD else stage.at_temp_c
    room = Way(place="room", duration_s=temper_s, at_temp_c=meant_c)
    times = times_for([temper_s], max(MOST_FACTOR * temper_s, _LONGEST_TEMPER_S))
    return dough.stand(room, times, dough.t_s)


def _tempered(
    dough: Dough, stage: Stage, way: Way, step: Step, warm: Leg, gas: tuple[Floats, Floats, Floats]
) -> Floats:
    """The last stretch of a night, in the room, as long as it needs; returns the gas of the whole night.

    ``gas``: what it needs, what it has made, and how warm the dough is that the formula means at the end.
    """
    import numpy as np

    need, made, meant_c = gas
    temper_s, cold_s, times = way.temper_s or 0.0, step.kept_s, warm.stood.times_s
    exact = reached_s(times, warm.gas_s, need - made)
    extra = np.minimum(np.maximum(exact, 0.0), times[-1])
    step.length, step.reached = cold_s + extra, np.isfinite(exact)
    step.earliest, step.latest = step.earliest + extra, step.latest + extra
    step.basis = "own reference, moved"
    step.because = (
        f"the formula's night of {_said(cold_s)} at {_degrees(way)}, and after it as long in the room as it needs "
        "for the gas of its reference"
    )
    members = dough.parameters.members
    warm_s = max(0.0, float(quantiles(extra[:members], dough.parameters.ensemble.weights, (0.5,))[0]))
    _draw(dough, step, stage, warm, (cold_s, warm_s), need, made, meant_c)
    total = made + at_time(times, warm.gas_s, warm_s)
    dough.leave(warm, warm_s, temper_s)
    step.kept_s = cold_s + warm_s
    return total


def _chilled(dough: Dough, stage: Stage, way: Way) -> Step:
    import numpy as np

    assert way.at_temp_c is not None
    low_s, high_s = _limits(way)
    marks = _marks(dough, stage, way)
    times = times_for(marks, MOST_FACTOR * max(marks))
    leg = dough.stand(way, times, dough.t_s)
    count = dough.parameters.count
    meant_c = leg.stood.mean_c[:, count:]
    # as cold as the reference makes it; where that is as cold as the place, its last kelvins say nothing
    gap_k = meant_c[0] - way.at_temp_c
    wanted = np.maximum(at_time(times, meant_c, way.duration_s), way.at_temp_c + np.minimum(_SETTLED_K, gap_k / 2))
    exact = reached_s(times, -leg.stood.mean_c[:, :count], -wanted)
    usual = reached_s(times, -meant_c, -wanted)
    ratio = np.where(usual > 0, exact / np.where(usual > 0, usual, 1.0), 1.0)
    moved = np.minimum(way.duration_s * ratio * dough.parameters.chill, MOST_FACTOR * way.duration_s)
    early = np.maximum(low_s, low_s * moved / way.duration_s)  # it also firms the fat: never shorter than the least
    length = np.maximum(moved, early)
    kept_s = kept_length_s(dough, stage, length)
    made = at_time(times, leg.gas_s, kept_s)
    step = Step(
        kept_s,
        length,
        early,
        np.maximum(high_s, length),
        _basis(dough, leg, stage, way),
        _because(way, f"to the {float(wanted[0]):.0f} °C that the reference ends with, by how heat leaves it"),
        float(leg.air_c[0, 0]),
        reached=np.isfinite(exact),
    )
    share = None
    if stage.rise is not None:
        need = at_time(times, leg.meant_gas_s, way.duration_s)
        share = made / np.where(need > 0, need, 1.0)
    end_c = _meant_c(leg, way.duration_s)
    _draw(dough, step, stage, leg, (0.0, kept_s), None, 0.0, end_c)
    dough.leave(leg, kept_s, way.duration_s)
    dough.keep(stage, share, made, end_c)
    return step


def _kept(dough: Dough, stage: Stage, way: Way) -> Step:
    import numpy as np

    low_s, high_s = _limits(way)
    asked_s = dough.conditions.lengths_s.get(stage.key, way.duration_s)
    marks = [way.duration_s, asked_s]
    times = times_for(marks, 0.0)
    leg = dough.stand(way, times, dough.t_s)
    ones = np.ones(dough.parameters.count)
    step = Step(
        asked_s,
        ones * way.duration_s,
        ones * low_s,
        ones * high_s,
        "own numbers",
        f"the formula's own {_said(way.duration_s)}",
        float(leg.air_c[0, 0]),
    )
    made = at_time(times, leg.gas_s, asked_s)
    meant_c = _meant_c(leg, way.duration_s)
    _draw(dough, step, stage, leg, (0.0, asked_s), None, 0.0, meant_c)
    dough.leave(leg, asked_s, way.duration_s)
    dough.keep(stage, None, made, meant_c)
    return step


def hands_stage(dough: Dough, stage: Stage, length_s: float) -> Step:
    """A stage in which hands or a mixer work at the dough, for its own time."""
    import numpy as np

    ones = np.ones(dough.parameters.count)
    if stage.kind == "mix":
        dough.t_s += length_s
    else:
        dough.handle(stage, length_s)
    step = Step(length_s, ones * length_s, ones * length_s, ones * length_s, "own numbers", "the formula's own time")
    members = dough.parameters.members
    step.curve.append((length_s, dough.here_c[:members], dough.rise[:members]))
    return step


def _draw(
    dough: Dough,
    step: Step,
    stage: Stage,
    leg: Leg,
    span_s: tuple[float, float],
    need: Floats | None,
    made: Floats | float,
    meant_c: Floats,
) -> None:
    """Add points of the curve: along a leg of a stage, from and for ``span_s``; ``made``: the gas from legs before."""
    import numpy as np

    if not dough.with_curve:
        return

    (from_s, length_s), members, count = span_s, dough.parameters.members, dough.parameters.count
    times = length_s * np.linspace(0.0, 1.0, _CURVE_POINTS + 1)[1:] ** 1.5
    temps = np.array([leg.stood.between(leg.stood.mean_c, t_s)[:count] for t_s in times.tolist()])
    gas = np.array([at_time(leg.stood.times_s, leg.gas_s, t_s) for t_s in times.tolist()]) + made
    share = None if need is None else gas / np.where(need > 0, need, 1.0)
    rises = dough.grow(stage, share, gas, temps, meant_c)
    rows = zip(times.tolist(), temps, rises, strict=True)
    step.curve += [(from_s + t_s, temp[:members], rise[:members]) for t_s, temp, rise in rows]


def _basis(dough: Dough, leg: Leg, stage: Stage, way: Way) -> Basis:
    """Whether this dough stands here as the reference means it."""
    import numpy as np

    count = dough.parameters.count
    pairs = zip(leg.stood.mean_c[(0, -1), :][:, 0], leg.stood.mean_c[(0, -1), :][:, count], strict=True)
    same = all(abs(float(a) - float(b)) < 0.05 for a, b in pairs) and bool(np.isclose(dough.raising.speed[0], 1.0))
    return "own reference" if same else "own reference, moved"


def _because(way: Way, how: str) -> str:
    return f"the formula's own {_said(way.duration_s)} at {_degrees(way)}, moved {how}"


def _degrees(way: Way) -> str:
    return "its own temperature" if way.at_temp_c is None else f"{way.at_temp_c:g} °C"


def _said(length_s: float) -> str:
    hours, minutes = divmod(round(length_s / 60), 60)
    if not hours:
        return f"{minutes} min"
    return f"{hours} h" + (f" {minutes} min" if minutes else "")
