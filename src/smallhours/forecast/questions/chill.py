"""How long must a dough chill?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from smallhours.bakery.formula.document import Stage
from smallhours.bakery.process import habits
from smallhours.errors import BadInput
from smallhours.forecast.assumed import ASSUMED
from smallhours.forecast.ensemble import estimates, share_of
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.parameters import Parameters
from smallhours.forecast.questions.answer import NOTHING_LOGGED, Answer, Asked, Number, said
from smallhours.forecast.sizes import DENSITY_G_PER_MM3, UNDERSIDE_ON_TRAY, chilled_bulk_size
from smallhours.science.ranges import checked

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_LONGEST_S, _REPORTS = 12 * 3600.0, 97


def how_long_to_chill(asked: Asked, wanted_c: float | None = None, stage: str | None = None) -> Answer:
    """How long must the dough lie in the cold until its core is cold enough to be sheeted?

    ``wanted_c``: of the core; without it, as cold as the formula's own chill makes it, so that under its conditions its
    own time comes out. ``stage``: which chill (the first). The dough lies as slabs on trays.
    Raises: BadInput if the formula has no such chill or the fridge is not colder than what is wanted; OutOfRange for
    temperatures that cannot be.
    """
    chill = _stage(asked, stage)
    if wanted_c is not None:
        checked(wanted_c, "the core that is wanted", -20.0, 30.0, "°C")
    before = asked.forecast().stage(chill.key)
    meant = asked.forecast(as_written=True, dough_temp_c=None).stage(chill.key)
    air_c = before.air_c if before.air_c is not None else 4.0
    length_s = chill.duration_s or 0.0
    times, core = _cores(asked, before.draws["start mean"], air_c, False)
    if wanted_c is None:
        reference = _cores(asked, meant.draws["start mean"], meant.air_c if meant.air_c is not None else air_c, True)
        target = _at(*reference, length_s)
        raw = _first(times, core, target)
        usual = _first(*reference, target)
        raw = raw * length_s / usual * asked.ensemble.values("chill")
    else:
        if wanted_c <= air_c + 0.3:
            raise BadInput(f"a fridge of {air_c:.1f} °C does not make a core of {wanted_c:g} °C: take a colder one")
        target = core[0] * 0 + wanted_c
        raw = _first(times, core, target) * asked.ensemble.values("chill")
    reached = share_of(raw < _LONGEST_S, asked.ensemble.weights)
    rows = {"length": raw.clip(0.0, _LONGEST_S), "core": target}
    found = estimates(rows, asked.ensemble.weights)
    return _answer(asked, chill, found["length"], found["core"], air_c, reached)


def _answer(asked: Asked, chill: Stage, length: Estimate, core: Estimate, air_c: float, reached: float) -> Answer:
    own_s, least_s = chill.duration_s or 0.0, chill.min_s or 0.0
    size = chilled_bulk_size(asked.conditions.dough_mass_g, asked.conditions.kitchen)
    thick_mm = size.radius_mm * (1.0 + UNDERSIDE_ON_TRAY)
    sentence = (
        f"A slab {thick_mm:.0f} mm thick has {core.median:.0f} °C in its core after {said(length.median)} in "
        f"{air_c:.0f} °C ({said(length.low)} to {said(length.high)}); the formula says {said(own_s)}."
    )
    if length.median < least_s:
        sentence += f" Give it the formula's least, {said(least_s)}, all the same: fat has to set and dough to rest."
    if reached < 0.9:
        sentence = f"In {air_c:.0f} °C it may not get there within {said(_LONGEST_S)}: spread it thinner."
    return Answer(
        "chill",
        asked.formula.id,
        sentence,
        (Number("chill", "s", length), Number("core", "°C", core), Number("thickness", "mm", Estimate.sure(thick_mm))),
        "heat conduction in a slab, solved in layers; the air at its surface is a judgement with a wide range; "
        + NOTHING_LOGGED,
        reached < 0.9,
    )


def _stage(asked: Asked, key: str | None) -> Stage:
    chills = [s for s in asked.formula.stages if s.kind == "chill" or habits.place_of(s) == "fridge"]
    for stage in chills:
        if key is None or stage.key == key:
            return stage
    there = ", ".join(stage.key for stage in chills) or "none"
    named = "" if key is None else f" {key!r}"
    raise BadInput(f"formula {asked.formula.id!r} has no chill{named} (there are: {there})")


def _cores(asked: Asked, start_c: Floats, air_c: float, meant: bool) -> tuple[Floats, Floats]:
    """Times (s) and temperatures of the core (times, members) of a slab on a tray in the fridge.

    Source: ``science.heat_path``, implicit finite volumes over the slab's thickness.
    """
    import numpy as np

    from smallhours.science.heat_path import QUICK, Pieces, Places, follow

    drawn, conditions = Parameters(asked.ensemble), asked.conditions
    members = asked.ensemble.members
    size = chilled_bulk_size(conditions.dough_mass_g, conditions.kitchen)
    fan = conditions.fan("fridge") and not meant
    outer = drawn.surface_w_per_m2_k("fridge", fan)[:members]
    pieces = Pieces(
        "slab",
        size.radius_mm * (1.0 + UNDERSIDE_ON_TRAY) * drawn.drawn("thickness")[:members],
        start_c,
        DENSITY_G_PER_MM3 * 1e6,
        ASSUMED.specific_heat_j_per_g_k,
        ASSUMED.conductivity_w_per_m_k * drawn.drawn("conductivity")[:members],
    )
    places = Places((0.0, _LONGEST_S), np.array([[air_c]]), outer[None, :], outer[None, :] * UNDERSIDE_ON_TRAY)
    times = np.linspace(0.0, 1.0, _REPORTS) ** 1.5 * _LONGEST_S
    history = follow(pieces, places, times, resolution=QUICK)
    cores: Floats = history.core_c.T
    return times, cores


def _at(times: Floats, cores: Floats, at_s: float) -> Floats:
    import numpy as np

    return np.array([np.interp(at_s, times, column) for column in cores.T])


def _first(times: Floats, cores: Floats, wanted: Floats) -> Floats:
    """When each core first is as cold as wanted; the last time if it never is."""
    import numpy as np

    falling = np.minimum.accumulate(cores, axis=0)
    slope = np.arange(len(times)) * 1e-9
    rows = [np.interp(-w, -column + slope, times, right=np.inf) for w, column in zip(wanted, falling.T, strict=True)]
    return np.array(rows)
