"""What the air does: does a cold tray sweat in the proofer, does the dough's skin dry, how hot can a core get?"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist
from typing import TYPE_CHECKING

from smallhours.bakery.formula.document import Place
from smallhours.errors import NotFound
from smallhours.forecast.ensemble import HIGH, estimates, share_of
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.parameters import Parameters
from smallhours.forecast.questions.answer import Answer, Asked, Number, said
from smallhours.forecast.stage_forecast import StageForecast
from smallhours.science.altitude import air_pressure_pa, boiling_at_altitude_c
from smallhours.science.moist_air import dew_point_c
from smallhours.science.ranges import checked
from smallhours.science.wet_surface import sweating, wet_surface_flow

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# readings of humidity are this many points off, four times in five (judgement: cheap sensors)
_OFF_POINTS = 5.0
_DRIEST, _DAMPEST = 5.0, 99.0
# about this share of the heat at a surface goes through the air, the rest is radiation (science.wet_surface)
_BY_AIR = 0.6
# a tray takes up heat at both faces: 1 mm of steel, half of its 3900 J/(m2 K) for each (science.wet_surface)
_TRAY_J_PER_M2_K = 1950.0
# a proofer at 75 % and more keeps dough from skinning (common practice): what dries faster than that skins
_SKINS_C, _SKINS_PERCENT = 27.0, 75.0
_BELOW_BOILING_K = 1.0
_GRID = 13
_LOOK = 0.1


@dataclass(frozen=True)
class _Told:
    sentence: str
    numbers: tuple[Number, ...]
    look: bool = False


def what_does_the_air_do(
    asked: Asked,
    room_humidity_percent: float | None = None,
    proofer_humidity_percent: float | None = None,
    tray_c: float | None = None,
) -> Answer:
    """Does a cold tray sweat in the proofer, does the dough's skin dry in this room, how hot can the core get?

    ``room_humidity_percent``, ``proofer_humidity_percent``: relative humidity as it is read there; what is not given is
    not judged. ``tray_c``: of the tray that goes into the proofer (as cold as the fridge). The boiling point is always
    told.

    Raises: OutOfRange for a humidity outside 5 to 99 % or a tray that cannot be; else as ``forecast_formula``.
    Source: ``science.wet_surface``, ``science.moist_air``, ``science.altitude``.
    """
    for name, percent in (("room", room_humidity_percent), ("proofer", proofer_humidity_percent)):
        if percent is not None:
            checked(percent, f"the humidity of the {name}", _DRIEST, _DAMPEST, "%")
    if tray_c is not None:
        checked(tray_c, "the tray", 0.0, 40.0, "°C")
    told: list[_Told] = []
    if proofer_humidity_percent is not None:
        told.append(_tray(asked, proofer_humidity_percent, tray_c))
        told.extend(_skins(asked, "proofer", proofer_humidity_percent))
    if room_humidity_percent is not None:
        told.extend(_skins(asked, "room", room_humidity_percent))
    told.append(_boiling(asked))
    rests_on = "humid air (ASHRAE) and the heat that water carries; readings of humidity 5 points off, the air drawn"
    return Answer(
        "air",
        asked.formula.id,
        " ".join(one.sentence for one in told),
        tuple(number for one in told for number in one.numbers),
        rests_on,
        any(one.look for one in told),
    )


def _tray(asked: Asked, percent: float, tray_c: float | None) -> _Told:
    """A cold tray in the warm proofer: below the dew point it sweats, for so long and so much."""
    import numpy as np

    conditions, weights = asked.conditions, asked.ensemble.weights
    air_c = _proofer_c(asked)
    cold_c = float(conditions.place_c("fridge", np.zeros(1), 0.0, None)[0]) if tray_c is None else tray_c
    humid = _humidities(asked, percent)
    transfer = _by_air(asked, "proofer")
    pressure = air_pressure_pa(conditions.kitchen.altitude_m)
    grid = np.linspace(humid.min(), humid.max() + 1e-9, _GRID)
    wet = [sweating(max(cold_c, 0.0), air_c, one, 1.0, _TRAY_J_PER_M2_K, pressure) for one in grid.tolist()]
    # the time goes with one over the heat transfer, the water does not depend on it
    lasts = np.interp(humid, grid, [one.duration_s for one in wet]) / transfer
    water = np.interp(humid, grid, [one.water_g_per_m2 for one in wet])
    rows = {"dew point": dew_point_c(air_c, humid), "sweats": lasts, "water": water}
    found, sweats = estimates(rows, weights), share_of(lasts > 0.0, weights)
    dew = found["dew point"]
    numbers = (
        Number("dew point of the proofer", "°C", dew),
        Number("a tray sweats", "fraction", Estimate.sure(sweats)),
        Number("a tray sweats for", "s", found["sweats"]),
        Number("water on the tray", "g/m²", found["water"]),
    )
    sentence = f"The proofer's {air_c:g} °C at {percent:g} % have their dew point at {dew.median:.0f} °C: "
    if sweats < _LOOK:
        return _Told(f"{sentence}a tray of {cold_c:g} °C stays dry.", numbers)
    sentence += (
        f"a tray of {cold_c:g} °C sweats in {sweats * 100:.0f} of 100 cases, for {_length(found['sweats'])}, "
        f"{found['water'].median:.0f} g of water per m² on it."
    )
    return _Told(sentence, numbers, True)


def _skins(asked: Asked, place: Place, percent: float) -> list[_Told]:
    """Each kind of place in which the dough rests or rises bare: its skin sweats at first, or dries."""
    if place == "proofer":
        stage = next((s for s in asked.formula.stages if any(w.place == "proofer" for w in s.instead)), None)
        ways = {} if stage is None else {**asked.conditions.ways, stage.key: place}
        key = None if stage is None else stage.key
        stages = asked.forecast(ways=ways).stages if ways else asked.forecast().stages
        wanted = [s for s in stages if s.place == "proofer" and (key is None or s.key == key)]
    else:
        wanted = [s for s in asked.forecast().stages if s.place == "room" and s.kind in ("proof", "ferment", "rest")]
    pieces = [stage for stage in wanted if stage.kind in ("proof", "rest")] or wanted
    return [_skin(asked, place, percent, pieces[-1])] if pieces else []


def _skin(asked: Asked, place: Place, percent: float, stage: StageForecast) -> _Told:
    import numpy as np

    weights = asked.ensemble.weights
    humid, transfer = _humidities(asked, percent), _by_air(asked, place)
    air_c = stage.air_c if stage.air_c is not None else 22.0
    pressure = air_pressure_pa(asked.conditions.kitchen.altitude_m)
    begins, ends = stage.draws["start skin"], stage.draws["end skin"]
    sweats = share_of(begins < dew_point_c(air_c, humid), weights)
    # at its end, when it has warmed: what a wet skin gives off in an hour, against a proofer that keeps it soft
    flow = -np.asarray(wet_surface_flow(np.clip(ends, 0.0, 100.0), air_c, humid, transfer, pressure).water_g_per_m2_h)
    soft = -np.asarray(
        wet_surface_flow(_SKINS_C, _SKINS_C, _SKINS_PERCENT / 100.0, transfer, pressure).water_g_per_m2_h
    )
    dries = share_of(flow > soft, weights)
    rate = estimates({"rate": flow}, weights)["rate"]
    numbers = (
        Number(f"{stage.key} in the {place}: skin sweats at first", "fraction", Estimate.sure(sweats)),
        Number(f"{stage.key} in the {place}: skin dries", "fraction", Estimate.sure(dries)),
        Number(f"{stage.key} in the {place}: water it gives off", "g/(m² h)", rate),
    )
    at = f"{stage.name[0].upper()}{stage.name[1:]} in the {place} at {air_c:.0f} °C and {percent:g} %"
    if dries >= _LOOK:
        sentence = (
            f"{at}: bare, the dough gives off {rate.median:.0f} g of water per m² and hour and skins over in "
            f"{dries * 100:.0f} of 100 cases: cover it."
        )
    else:
        sentence = f"{at}: its skin stays soft."
    if sweats >= 0.5:
        sentence += " It goes in so cold that it is wet at first."
    return _Told(sentence, numbers, dries >= _LOOK)


def _boiling(asked: Asked) -> _Told:
    """How hot a core can get here, and which bakes ask for more."""
    altitude_m = asked.conditions.kitchen.altitude_m
    boils_c = boiling_at_altitude_c(altitude_m)
    numbers = (Number("water boils at", "°C", Estimate.sure(boils_c)),)
    sentence = f"At {altitude_m:g} m water boils at {boils_c:.1f} °C"
    most = max((s.core_temp_c for s in asked.formula.stages if s.core_temp_c is not None), default=None)
    if most is None:
        return _Told(sentence + ".", numbers)
    if most > boils_c - _BELOW_BOILING_K:
        return _Told(f"{sentence}: a core of {most:g} °C is out of reach, take {boils_c - 2:.0f} °C.", numbers, True)
    return _Told(f"{sentence}: its core of {most:g} °C can be reached.", numbers)


def _proofer_c(asked: Asked) -> float:
    """The proofer; in a kitchen without one, as warm as the formula means its proofer. Raises NotFound."""
    import numpy as np

    meant = [w.at_temp_c for stage in asked.formula.stages for w in stage.instead if w.place == "proofer"]
    try:
        return float(asked.conditions.place_c("proofer", np.zeros(1), 0.0, None)[0])
    except NotFound:
        told = next((temp_c for temp_c in meant if temp_c is not None), None)
        if told is None:
            raise
        return told


def _humidities(asked: Asked, percent: float) -> Floats:
    """Relative humidity of every member [fraction]."""
    off = asked.ensemble.values("humidity") * _OFF_POINTS / NormalDist().inv_cdf(HIGH)
    found: Floats = (percent + off).clip(1.0, 100.0) / 100.0
    return found


def _by_air(asked: Asked, place: Place) -> Floats:
    """Heat transfer by the air alone [W/(m2 K)], (members,)."""
    found: Floats = Parameters(asked.ensemble).surface_w_per_m2_k(place)[: asked.ensemble.members] * _BY_AIR
    return found


def _length(value: Estimate) -> str:
    if value.high < 90.0:
        return "about a minute"
    return f"{said(value.median)} ({said(value.low)} to {said(value.high)})"
