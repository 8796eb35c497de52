"""Where a bakery starts from at the oven and at the rack: typed access to the tables of baking and cooling."""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.errors import NotFound
from smallhours.reference.defaults import Spread
from smallhours.reference.table import Cell, Row, table
from smallhours.science.evaporation_front import BakingDough

MM2_PER_M2 = 1e6


@dataclass(frozen=True)
class Browning:
    """Parameters of ``science.crust_colour``; ``darkest_delta_e``: the difference in colour of a burnt crust."""

    factor_per_s: float
    activation_j_per_mol: float
    darkest_delta_e: float
    source: str


@dataclass(frozen=True)
class Topping:
    """From which to which temperature of the surface a topping holds and still flows."""

    stiff_below_c: float
    runs_off_above_c: float
    source: str


def bake_diffusivity_m2_per_s(kind: str) -> Spread:
    """Effective diffusivity in the oven of a kind of product such as ``rolls``, ``tin-loaf``, in m²/s.

    Raises NotFound.
    """
    found = _spread(table("bake_diffusivity").row(kind), "{}_mm2_per_s")
    low, usual, high = (value / MM2_PER_M2 for value in (found.low, found.usual, found.high))
    return Spread(low, usual, high, found.source)


def baking_dough() -> BakingDough:
    """The usual dough in the model oven."""
    names = (
        *("density", "specific-heat", "crust-specific-heat", "water", "cold-conductivity"),
        *("hot-conductivity", "crust-conductivity", "turning-from", "turning-to"),
    )
    return BakingDough(*(baking_dough_figure(name).usual for name in names))


def baking_dough_figure(name: str) -> Spread:
    """One figure of the dough in the model oven, such as ``hot-conductivity``, in the unit of its row.

    Raises NotFound.
    """
    return _spread(table("baking_dough").row(name), "{}")


def browning(kind: str = "bread-crust") -> Browning:
    """How fast a crust browns.

    Raises NotFound.
    """
    row = table("browning").row(kind)
    factor, energy, darkest = (
        _number(row[name]) for name in ("factor_per_s", "activation_j_per_mol", "darkest_delta_e")
    )
    return Browning(factor, energy, darkest, str(row["source"]))


def mass_loss_percent(step: str) -> Spread:
    """Mass lost in ``fermentation``, ``cooling``, ``bake-out`` (baking and cooling) or ``oven-to-table``, in %.

    Raises NotFound.
    """
    return _spread(table("mass_losses").row(step), "{}_percent")


def cooled_core_c(purpose: str) -> Spread:
    """How cool a core has to be to ``cut`` or to ``pack``, in °C.

    Raises NotFound.
    """
    return _spread(table("cooled_core").row(purpose), "{}_c")


def topping(kind: str) -> Topping:
    """When a topping such as ``fondant``, ``cream-cheese-icing`` goes on.

    Raises NotFound.
    """
    row = table("toppings").row(kind)
    return Topping(_number(row["stiff_below_c"]), _number(row["runs_off_above_c"]), str(row["source"]))


def oven_set_lower_k(kind: str) -> float:
    """How much lower than a deck oven a kind of oven (``deck``, ``convection``) is set, in K.

    Raises NotFound.
    """
    return _number(table("oven_kinds").row(kind)["set_lower_k"])


def into_dough_fraction(kind: str) -> Spread:
    """Which share of an oven's heat ends in the dough.

    Raises NotFound.
    """
    return _spread(table("oven_kinds").row(kind), "{}_dough_share")


def _spread(row: Row, pattern: str) -> Spread:
    low, usual, high = (_number(row[pattern.format(which)]) for which in ("low", "usual", "high"))
    return Spread(low, usual, high, str(row["source"]))


def _number(cell: Cell) -> float:
    if not isinstance(cell, float):
        raise NotFound(f"a number is missing in a reference table (found {cell!r})")
    return cell
