"""Where a bakery starts from before its own logs say better: typed access to the smaller tables."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from smallhours.errors import NotFound, OutOfRange
from smallhours.reference.table import Cell, Row, table
from smallhours.science.dough_temperature import Melting
from smallhours.science.fermentation import CardinalTemperatures
from smallhours.science.food_microbes import GrowthCurve
from smallhours.science.milk_fat import SolidWindow, offset_melting

BUTTERFAT_LATENT_J_PER_G = 100.0
"""Heat of melting of milk fat [J/g]; from memory of dairy handbooks."""


@dataclass(frozen=True)
class Spread:
    """A figure with the lowest and highest that are plausible, and the id of its source."""

    low: float
    usual: float
    high: float
    source: str


@dataclass(frozen=True)
class UsualRange:
    """What is usual and what has been seen, in percent of flour."""

    usual_low_percent: float
    usual_high_percent: float
    seen_low_percent: float
    seen_high_percent: float
    source: str


def yeast_per_fresh_ratio(key: str) -> float:
    """Grams of this form of yeast (``yeast-fresh``, ``yeast-active-dry``, ``yeast-instant``) for one of fresh.

    Raises NotFound.

    >>> yeast_per_fresh_ratio("yeast-instant")
    0.33
    """
    return _number(table("yeast_forms").row(key)["per_fresh_ratio"])


@cache
def cardinal_temperatures(key: str = "bakers-yeast-gas") -> CardinalTemperatures:
    """Cardinal temperatures of ``bakers-yeast-gas``, ``bakers-yeast-growth``, ``sourdough-yeast`` or ``-bacteria``.

    Raises NotFound.
    """
    row = table("yeast_temperatures").row(key)
    return CardinalTemperatures(*(_number(row[name]) for name in ("min_c", "optimum_c", "max_c")))


def mixer_rise_k(kind: str) -> Spread:
    """By how much a mixer (``spiral``, ``planetary``, ``fork``, ``hand``) warms a dough, in kelvin.

    Raises NotFound.
    """
    return _between(table("mixer_friction").row(kind), "rise_low_k", "rise_high_k")


def mixer_friction_k(kind: str) -> Spread:
    """A mixer's friction figure for the three-temperature rule, in kelvin.

    Raises NotFound.
    """
    return _between(table("mixer_friction").row(kind), "friction_low_k", "friction_high_k")


def heat_transfer_w_per_m2_k(place: str) -> Spread:
    """Heat transfer to a dough's surface in a place such as ``room``, ``fridge-fan``, ``proofer``, ``oven-deck``.

    Raises NotFound.
    """
    row = table("heat_transfer").row(place)
    low, usual, high = (_number(row[f"{name}_w_per_m2_k"]) for name in ("low", "transfer", "high"))
    return Spread(low, usual, high, str(row["source"]))


@cache
def butter_melting(fat_fraction: float = 0.81, offset_k: float = 0.0) -> Melting:
    """How the fat of butter melts; ``fat_fraction``: fat in the butter's mass; ``offset_k``: how much harder it is."""
    rows = table("butter_solids").rows
    solid_at = tuple((_number(row["temp_c"]), _number(row["solid_percent"]) / 100.0) for row in rows)
    return offset_melting(Melting(fat_fraction, BUTTERFAT_LATENT_J_PER_G, solid_at), offset_k)


def fat_window(key: str) -> SolidWindow:
    """Between which solid shares butter is ``roll-in`` (pliable) or ``spreadable``.

    Raises NotFound.
    """
    row = table("fat_windows").row(key)
    return SolidWindow(_number(row["low_percent"]) / 100.0, _number(row["high_percent"]) / 100.0)


@cache
def growth_curves(organism: str) -> tuple[GrowthCurve, ...]:
    """All growth curves of ``staphylococcus-aureus``, ``salmonella``, ``bacillus-cereus``, ``listeria-monocytogenes``.

    Raises NotFound.
    """
    rows = table("microbe_growth").rows
    found = tuple(_growth_curve(row) for row in rows if row["organism"] == organism)
    if not found:
        known = ", ".join(sorted({str(row["organism"]) for row in rows}))
        raise NotFound(f"there is no growth curve of {organism!r}; there is one of {known}")
    return found


def planetary_bowl_kg_per_l(absorption_percent: float) -> Spread:
    """Largest dough per litre of a planetary bowl for a dough with so much effective water on flour.

    Between the published absorptions it is read off a straight line; above the last one its value holds.

    Raises OutOfRange below the lowest published absorption: such a stiff dough needs the maker's own figure.
    """
    rows = table("bowl_capacity").rows
    if not absorption_percent >= _number(rows[0]["absorption_percent"]):
        lowest = _number(rows[0]["absorption_percent"])
        raise OutOfRange(
            f"no bowl capacity is published for a dough with {absorption_percent:g} % water, only from {lowest:g} %: "
            "take the maker's figure"
        )
    for lower, upper in pairwise(rows):
        x0, x1 = (_number(row["absorption_percent"]) for row in (lower, upper))
        if absorption_percent <= x1:
            share = (absorption_percent - x0) / (x1 - x0)
            low, high = (
                (1 - share) * _number(lower[name]) + share * _number(upper[name])
                for name in ("low_kg_per_l", "high_kg_per_l")
            )
            return Spread(low, (low + high) / 2, high, str(upper["source"]))
    return _between(rows[-1], "low_kg_per_l", "high_kg_per_l")


def bake_loss_percent(kind: str) -> Spread:
    """Mass lost in the oven by a kind of product such as ``rolls``, ``tin-loaf``, ``enriched-tin``, in % of raw mass.

    Raises NotFound.
    """
    return _between(table("baking").row(kind), "loss_low_percent", "loss_high_percent")


def core_end_c(kind: str) -> float:
    """Core temperature at which a kind of product is baked, in °C; cap it at the boiling point less 2 K.

    Raises NotFound.
    """
    return _number(table("baking").row(kind)["core_end_c"])


def pan_size_mm(key: str) -> tuple[float, float]:
    """Length and width of ``gastronorm-1-1``, ``baker-tray-600-400``, ``sheet-pan-half`` ... over the rim, in mm.

    Raises NotFound.
    """
    row = table("pan_sizes").row(key)
    return _number(row["length_mm"]), _number(row["width_mm"])


def tin_factor_ml_per_g(kind: str) -> Spread:
    """Millilitres of tin for each gram of dough, for ``white-lidded``, ``white-open``, ``enriched-open``, ``rye`` ...

    Raises NotFound.
    """
    return _between(table("tin_factors").row(kind), "low_ml_per_g", "high_ml_per_g")


def dough_class(fat_and_sugar_percent: float) -> str:
    """The class of a dough (``lean``, ``enriched``, ``rich``, ``very-rich``) by fat and sugar in percent of flour.

    Raises OutOfRange for a negative or undefined percentage.

    >>> dough_class(17.5)
    'enriched'
    """
    if not fat_and_sugar_percent >= 0:
        raise OutOfRange(f"fat and sugar must be zero or more percent of flour (found {fat_and_sugar_percent})")
    reached = [
        row
        for row in table("dough_classes").rows
        if _number(row["fat_and_sugar_from_percent"]) <= fat_and_sugar_percent
    ]
    return str(reached[-1]["key"])


def usual_range(key: str) -> UsualRange:
    """What is usual of ``salt``, ``instant-yeast-lean``, ``instant-yeast-sweet`` or ``sugar-plain-yeast``.

    Raises NotFound.
    """
    row = table("usual_ranges").row(key)
    usual_low, usual_high = _number(row["usual_low_percent"]), _number(row["usual_high_percent"])
    seen_low, seen_high = _number(row["seen_low_percent"]), _number(row["seen_high_percent"])
    return UsualRange(usual_low, usual_high, seen_low, seen_high, str(row["source"]))


def _growth_curve(row: Row) -> GrowthCurve:
    """A row's curve, its rate turned into decimal logarithms."""
    decimal = math.sqrt(math.log(10.0)) if row["logarithm"] == "natural" else 1.0
    return GrowthCurve(
        organism=str(row["organism"]),
        medium=str(row["medium"]),
        slope_per_k=_number(row["slope_per_k"]) / decimal,
        min_c=_number(row["min_c"]),
        measured_low_c=_number(row["measured_low_c"]),
        measured_high_c=_number(row["measured_high_c"]),
        bend_power_count=int(_number(row["bend_power"])),
        bend_per_k=0.0 if row["bend_per_k"] is None else _number(row["bend_per_k"]),
        max_c=_number(row["max_c"]),
    )


def _number(cell: Cell) -> float:
    if not isinstance(cell, float):
        raise NotFound(f"a number is missing in a reference table (found {cell!r})")
    return cell


def _between(row: Row, low_name: str, high_name: str) -> Spread:
    low, high = _number(row[low_name]), _number(row[high_name])
    return Spread(low, (low + high) / 2, high, str(row["source"]))
