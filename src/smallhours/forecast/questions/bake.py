"""How long does it bake, and what changes that?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from smallhours.errors import BadInput, Impossible, OutOfRange
from smallhours.forecast.assumed import ASSUMED
from smallhours.forecast.conditions import HOTTEST_OVEN_C, OvenKind
from smallhours.forecast.course import BAKED_C
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.questions.answer import NOTHING_LOGGED, Answer, Asked, Number, said, spread
from smallhours.forecast.stage_forecast import StageForecast
from smallhours.reference.bake_defaults import into_dough_fraction
from smallhours.science.altitude import boiling_at_altitude_c
from smallhours.science.bake_loss import bake_heat_j_per_g, shortest_load_s
from smallhours.science.baking import highest_core_c
from smallhours.science.ranges import checked_positive

_FRIDGE_C, _HOTTER_K, _HIGH_M = 5.0, 20.0, 1500.0
_ALIKE_K = 0.1
_RESTS_ON = (
    "the formula's own bake, moved by the exact series of conduction with the surface held where water boils; another "
    "oven by a model that is only good for ratios; crust by how fast dried crumb browns; "
)


@dataclass(frozen=True)
class Load:
    """A full oven: dough in it (g) and its heating (W)."""

    dough_g: float
    heating_w: float


def how_long_to_bake(
    asked: Asked,
    oven_c: float | None = None,
    oven: OvenKind | None = None,
    altitude_m: float | None = None,
    goes_in_c: float | None = None,
    core_c: float | None = None,
    load: Load | None = None,
) -> Answer:
    """How long does it bake here, and with pieces of twice the mass, straight from the fridge, hotter, colder, high up?

    ``oven_c``, ``oven``: another set temperature or kind of oven than the formula's; ``altitude_m``: another height
    than the kitchen's; ``goes_in_c``: the pieces as they go in; ``core_c``: another core at its end; ``load``: of a
    full oven, for the least it takes.
    Raises: BadInput for a formula that is not baked, Impossible for an oven that never brings the core there,
    OutOfRange for what cannot be.
    """
    here = {"oven_c": oven_c, "oven": oven, "altitude_m": altitude_m, "goes_in_c": goes_in_c}
    own = _bake_stage(asked, core_c)
    here |= {"bake_core_c": core_c}
    now = asked.forecast(**here).stage(own.key)
    others, told = _others(asked, own, here, now)
    numbers = [Number("bake", "s", now.length), *_more(now, ""), *others]
    sentence = f"{_here(now)} " + "; ".join(told) + "."
    if load is not None:
        least = _least(load, now, own.kind_of_oven if oven is None else oven)
        numbers.append(Number("full oven, at least", "s", least))
        sentence += f" A full oven cannot bring its heat in less than {spread(least)}."
    high_m = asked.conditions.kitchen.altitude_m if altitude_m is None else altitude_m
    high = _highest_core_c(high_m)
    look = own.core_c > high + _ALIKE_K
    core = f"Judge it by {own.core_c:.0f} °C in the core."
    if look:
        core = f"At {high_m:.0f} m no core comes to {own.core_c:.0f} °C: aim at {high:.1f} °C."
    numbers.append(Number("highest core", "°C", Estimate.sure(high)))
    return Answer(
        "bake",
        asked.formula.id,
        f"{sentence} {core}",
        tuple(numbers),
        _RESTS_ON + NOTHING_LOGGED,
        look,
    )


@dataclass(frozen=True)
class _Own:
    """The formula's own bake, to the core that is wanted."""

    key: str
    set_c: float
    core_c: float
    kind_of_oven: OvenKind


def _bake_stage(asked: Asked, core_c: float | None) -> _Own:
    for stage in asked.formula.stages_of(asked.formula.main):
        if stage.kind == "bake":
            wanted_c = core_c or stage.core_temp_c or BAKED_C
            return _Own(stage.key, stage.set_temp_c or 200.0, wanted_c, stage.oven or "deck")
    raise BadInput(f"formula {asked.formula.id!r} is not baked: there is no bake among its stages")


def _others(asked: Asked, own: _Own, here: Mapping[str, object], now: StageForecast) -> tuple[list[Number], list[str]]:
    """Numbers and words of the bakes that are tried beside."""
    numbers, told = [], []
    for name, words, changed in _changes(asked, own, here):
        try:
            then = asked.forecast(**{**here, **changed}).stage(own.key)
        except (Impossible, OutOfRange):  # an oven too cold for this core, a piece too large
            continue
        numbers += [Number(name, "s", then.length), *_more(then, f" ({name})")]
        told.append(f"{words} {spread(then.length)}" + _browner(then, now))
    return numbers, told


def _changes(asked: Asked, own: _Own, here: Mapping[str, object]) -> list[tuple[str, str, dict[str, object]]]:
    """What is tried beside: name, words, conditions."""
    now_c = float(str(here["oven_c"] or own.set_c))
    found: list[tuple[str, str, dict[str, object]]] = []
    output = asked.formula.output
    mass_g = asked.conditions.piece_mass_g or (output and (output.piece_mass_g or output.baked_mass_g))
    if mass_g:
        found.append(("twice the mass", "pieces of twice the mass", {"piece_mass_g": 2.0 * mass_g}))
    if here["goes_in_c"] is None:
        found.append(("from the fridge", f"straight from the fridge, at {_FRIDGE_C:g} °C,", {"goes_in_c": _FRIDGE_C}))
    if now_c + _HOTTER_K <= HOTTEST_OVEN_C:
        found.append(("hotter", f"at {now_c + _HOTTER_K:.0f} °C", {"oven_c": now_c + _HOTTER_K}))
    if now_c - _HOTTER_K > own.core_c:
        found.append(("cooler", f"at {now_c - _HOTTER_K:.0f} °C", {"oven_c": now_c - _HOTTER_K}))
    if here["altitude_m"] is None and asked.conditions.kitchen.altitude_m < _HIGH_M:
        limit_c = _highest_core_c(_HIGH_M)
        capped = f", to {limit_c:.0f} °C in its core at most," if own.core_c > limit_c else ""
        found.append(("high up", f"at {_HIGH_M:.0f} m above the sea{capped}", {"altitude_m": _HIGH_M}))
    return found


def _here(now: StageForecast) -> str:
    told = f"It bakes {spread(now.length)}; the formula says {said(now.reference_s)}"
    if now.loss_percent is not None:
        loss = now.loss_percent
        told += f". It loses {loss.median:.0f} % ({loss.low:.0f} to {loss.high:.0f} %)"
    if now.crust is not None and abs(now.crust.median - 1.0) >= 0.05:
        told += f" and its crust browns {now.crust.median:.1f} times as much as the formula's"
    return told + ". Other bakes:"


def _browner(then: StageForecast, now: StageForecast) -> str:
    if then.crust is None or now.crust is None:
        return ""
    ratio = then.crust.median / now.crust.median
    longer = then.length.median / now.length.median
    return "" if abs(ratio / longer - 1.0) < 0.1 else f" with a crust {ratio:.1f} times as brown"


def _more(stage: StageForecast, of: str) -> list[Number]:
    found = [] if stage.loss_percent is None else [Number(f"loss{of}", "%", stage.loss_percent)]
    return found if stage.crust is None else [*found, Number(f"crust{of}", "of the formula's", stage.crust)]


def _least(load: Load, now: StageForecast, kind: OvenKind) -> Estimate:
    """The least a full oven takes: the heat its dough takes up over what its heating can bring."""
    checked_positive(load.dough_g, "the dough in the oven", "g")
    lost = 0.12 if now.loss_percent is None else now.loss_percent.median / 100.0
    start_c, core_c = min(now.at_start.mean.median, 60.0), now.at_end.core.median
    heat = bake_heat_j_per_g(ASSUMED.specific_heat_j_per_g_k, start_c, core_c, lost)
    share = into_dough_fraction(kind)
    low, usual, high = (
        float(shortest_load_s(load.dough_g, heat, load.heating_w, part))
        for part in (share.high, share.usual, share.low)
    )
    return Estimate(usual, low, high)


def _highest_core_c(altitude_m: float) -> float:
    return float(highest_core_c(boiling_at_altitude_c(altitude_m)))
