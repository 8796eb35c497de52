"""Parameters of fermentation to start from, typed: the tables' rows as what the relations of ``science`` take.

A ``Prior`` is a median and the standard deviation of its logarithm: where learning starts and how wide an ensemble is.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from smallhours.errors import NotFound
from smallhours.reference.defaults import cardinal_temperatures
from smallhours.reference.table import Cell, Row, table
from smallhours.science.dough_gas import DissolvedGas
from smallhours.science.dough_water import Solute
from smallhours.science.fermentation_path import Yeast, gas_rate_mmol_per_g_s
from smallhours.science.sourdough import Culture
from smallhours.science.yeast_activity import CultureCurves, RatePoints, YeastCurves
from smallhours.science.yeast_growth import YeastGrowth

_S_PER_H = 3600.0
# the dose for which yeast's gas is proportional to its mass; others follow the exponent
_USUAL_DOSE_PERCENT = 2.0


@dataclass(frozen=True)
class Prior:
    """A figure before anything is learned: its median, the standard deviation of its logarithm, its source's id."""

    median: float
    log_sd: float
    source: str


@dataclass(frozen=True)
class YeastStrength:
    """How a kind of fresh yeast works: gas [ml/(g h)] at ``measured_c``, what it stands [kPa], exponent of the dose."""

    gas_ml_per_g_h: Prior
    measured_c: float
    osmotic_scale_kpa: Prior
    dose_exponent: float
    dose_exponent_sd: float


@dataclass(frozen=True)
class Holding:
    """The gas a class of dough holds, ml/g: low, usual, high; how abruptly it ends; air after mixing, of its volume."""

    low_ml_per_g: float
    most_ml_per_g: float
    high_ml_per_g: float
    knee: float
    air_fraction: float


@dataclass(frozen=True)
class FlourWater:
    """What flour dissolves in dough water [mol/kg], and the osmotic pressure of the lean dough meant by 1 [kPa]."""

    solutes_mol_per_kg: float
    lean_osmotic_kpa: float


@cache
def cold_curve(key: str = "bakers-yeast-gas-cold") -> YeastCurves:
    """The usual curve of activity with its cold slope.

    Raises NotFound.
    """
    row = table("yeast_cold").row(key)
    names = ("min_c", "optimum_c", "max_c", "cold_pivot_c", "cold_slope_per_k")
    return YeastCurves(*(_number(row[name]) for name in names))


def cold_slope_per_k(key: str = "bakers-yeast-gas-cold") -> Prior:
    """What is known of the cold slope, 1/K.

    Raises NotFound.
    """
    return _prior(table("yeast_cold").row(key), "cold_slope_per_k", "cold_slope_log_sd")


def yeast_strength(kind: str = "ordinary") -> YeastStrength:
    """Of ``ordinary`` or ``osmotolerant`` fresh yeast.

    Raises NotFound.
    """
    row = table("yeast_strength").row(kind)
    return YeastStrength(
        _prior(row, "gas_ml_per_g_h", "gas_log_sd"),
        _number(row["measured_c"]),
        _prior(row, "osmotic_scale_kpa", "osmotic_scale_log_sd"),
        _number(row["dose_exponent"]),
        _number(row["dose_exponent_sd"]),
    )


def solute(key: str) -> Solute:
    """Of ``sucrose``, ``hexose``, ``lactose`` or ``maltose``.

    Raises NotFound.
    """
    row = table("dough_solutes").row(key)
    return Solute(_number(row["molar_mass_g_per_mol"]), _number(row["norrish_constant"]))


def flour_water(key: str = "wheat") -> FlourWater:
    """What flour adds to the water of a dough.

    Raises NotFound.
    """
    row = table("flour_water").row(key)
    return FlourWater(_number(row["solutes_mol_per_kg"]), _number(row["lean_osmotic_kpa"]))


def carbon_dioxide() -> DissolvedGas:
    """How well carbon dioxide dissolves in the water of a dough."""
    row = table("gas_in_water").row("carbon-dioxide")
    return DissolvedGas(_number(row["solubility_mol_per_m3_pa"]), _number(row["slope_k"]))


def fermentation_heat_kj_per_mol() -> float:
    """Heat of fermentation for each mol of carbon dioxide, kJ/mol."""
    return _number(table("gas_in_water").row("carbon-dioxide")["heat_kj_per_mol"])


def holding(dough_class: str) -> Holding:
    """Of ``lean``, ``enriched``, ``rich``, ``very-rich``, ``whole-grain`` or ``rye`` dough.

    Raises NotFound.
    """
    row = table("gas_holding").row(dough_class)
    names = ("low_ml_per_g", "most_ml_per_g", "high_ml_per_g", "knee", "air_fraction")
    return Holding(*(_number(row[name]) for name in names))


def yeast_growth(key: str = "bakers-yeast") -> tuple[YeastGrowth, float]:
    """How yeast multiplies in a dough, and the temperature (°C) its parameters are for.

    Raises NotFound.
    """
    row = table("yeast_growth").row(key)
    lag_h, rate_per_h, most_percent, reference_c = (
        _number(row[name]) for name in ("lag_h", "rate_per_h", "most_percent", "reference_c")
    )
    return YeastGrowth(lag_h * _S_PER_H, rate_per_h / _S_PER_H, most_percent), reference_c


def growing_yeast(dose_percent: float, flour_fraction: float = 1.0, kind: str = "ordinary") -> Yeast:
    """Usual fresh yeast that multiplies, in % of flour; ``flour_fraction``: flour in a gram of what gas is counted for.

    1 for gas of a gram of flour (preferments); about 0.6 for gas of a gram of lean dough. Sugar and salt are not in it.

    Raises NotFound for another kind, OutOfRange for a dose outside 0.001 to 20 %.
    """
    strength, curve = yeast_strength(kind), cold_curve()
    growth, reference_c = yeast_growth()
    growing = YeastCurves.plain(cardinal_temperatures("bakers-yeast-growth"))
    usual = _USUAL_DOSE_PERCENT / 100.0 * flour_fraction
    rate = gas_rate_mmol_per_g_s(usual, strength.gas_ml_per_g_h.median, strength.measured_c, curve)
    exponent = strength.dose_exponent
    return Yeast(curve, dose_percent, rate, _USUAL_DOSE_PERCENT, exponent, growth, growing, reference_c)


def ripe_gas_mmol_per_g(preferment: str) -> Prior:
    """Gas for each gram of its flour at which a ``poolish``, ``sponge`` or ``biga`` is ripe, mmol/g.

    Raises NotFound.
    """
    return _prior(table("preferments").row(preferment), "ripe_gas_mmol_per_g", "ripe_gas_log_sd")


@cache
def culture_growth(kind: Literal["yeast", "bacteria"]) -> RatePoints:
    """Relative growth over temperature of sourdough's yeast or bacteria.

    Raises NotFound for another kind.
    """
    rows = [row for row in table("culture_growth").rows if row["kind"] == kind]
    if not rows:
        raise NotFound(f"there is no growth over temperature of {kind!r}; there is that of yeast and bacteria")
    temps = tuple(_number(row["temp_c"]) for row in rows)
    return RatePoints(temps, tuple(_number(row["growth_fraction"]) for row in rows))


def culture(key: str) -> Culture:
    """Of ``sourdough-dough`` (a dough's first rise) or ``sourdough-starter`` (a starter's peak).

    Raises NotFound.
    """
    row = table("cultures").row(key)
    growth = culture_growth("bacteria" if row["growth"] == "bacteria" else "yeast")
    doubling_s = _number(row["doubling_h"]) * _S_PER_H
    return Culture(doubling_s, _number(row["reference_c"]), _number(row["ripe_fraction"]), growth)


def culture_cold_slope_per_k(key: str = "sourdough") -> Prior:
    """What is known of a culture's cold slope, 1/K.

    Raises NotFound.
    """
    return _prior(table("culture_cold").row(key), "cold_slope_per_k", "cold_slope_log_sd")


@cache
def culture_curve(key: str = "sourdough") -> CultureCurves:
    """The usual curve of a culture's yeast with its cold slope.

    Raises NotFound.
    """
    row = table("culture_cold").row(key)
    return CultureCurves(culture_growth("yeast"), _number(row["cold_slope_per_k"]), _number(row["cold_pivot_c"]))


def culture_doubling_h(key: str) -> Prior:
    """What is known of a culture's doubling time, h.

    Raises NotFound.
    """
    return _prior(table("cultures").row(key), "doubling_h", "doubling_log_sd")


def _prior(row: Row, name: str, spread: str) -> Prior:
    return Prior(_number(row[name]), _number(row[spread]), str(row["source"]))


def _number(cell: Cell) -> float:
    if not isinstance(cell, float):
        raise NotFound(f"a number is missing in a reference table (found {cell!r})")
    return cell
