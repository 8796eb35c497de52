"""Whether a kitchen can make a product: its pans, its ovens, and how hot a crumb gets where it stands."""

from __future__ import annotations

from collections.abc import Iterator

from smallhours.bakery.finding import Finding
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.products import oven_faults
from smallhours.bakery.quantity import say_temp
from smallhours.reference.defaults import planetary_bowl_kg_per_l
from smallhours.science.altitude import boiling_at_altitude_c

CORE_UNDER_BOILING_K = 2.0
"""A crumb is full of boiling water: its core stays about this far under the boiling point (common practice)."""
_SOFT_DOUGH_PERCENT = 60.0  # the softest dough that makers' charts of bowls name: bowls take most of it
_AS_GOOD_AS_REACHED_K = 0.5  # the weather alone moves the boiling point by 0.8 K


def kitchen_fit(formula: Formula, kitchen: Kitchen) -> Iterator[Finding]:
    """What in this kitchen stands in the way of a (joined) formula."""
    for rule in (kitchen_has_the_pans, kitchen_has_the_oven, core_can_be_reached):
        yield from rule(formula, kitchen)


def mixers_fit_their_bowls(kitchen: Kitchen) -> Iterator[Finding]:
    """A planetary mixer that is said to take more dough than a bowl of its size holds.

    Source: makers' charts of planetary mixers, 0.43 to 0.64 kg of dough a litre at 60 % water (table bowl_capacity).
    """
    most_kg_per_l = planetary_bowl_kg_per_l(_SOFT_DOUGH_PERCENT).high
    for mixer in kitchen.mixers:
        if mixer.kind == "planetary" and mixer.bowl_ml is not None:
            holds_g = most_kg_per_l * mixer.bowl_ml  # kilograms a litre are grams a millilitre
            takes_g = max(mixer.max_dough_g, mixer.max_stiff_g or 0.0, mixer.max_wet_g or 0.0)
            if takes_g > holds_g:
                yield Finding(
                    "mixers_fit_their_bowls",
                    "warn",
                    f"mixer {mixer.id!r}",
                    f"is said to take {takes_g / 1000:g} kg of dough, and makers' charts give a planetary bowl of "
                    f"{mixer.bowl_ml / 1000:g} l at most {holds_g / 1000:.1f} kg: look at the maker's figure",
                )


def kitchen_has_the_pans(formula: Formula, kitchen: Kitchen) -> Iterator[Finding]:
    """A pan that the formula stands in and this kitchen does not have."""
    pans = {pan.id for pan in kitchen.pans if pan.count}
    if formula.pan is not None and formula.pan not in pans:
        has = ", ".join(sorted(pans)) or "none"
        yield Finding(
            "kitchen_has_the_pans",
            "warn",
            _where(formula),
            f"stands in the pan {formula.pan!r}, and the kitchen {kitchen.id!r} has none of it (it has: {has})",
        )


def kitchen_has_the_oven(formula: Formula, kitchen: Kitchen) -> Iterator[Finding]:
    """A bake for which no oven is hot enough, of the kind, has the steam, or has room for one pan."""
    for fault in oven_faults(formula, kitchen):
        yield Finding("kitchen_has_the_oven", "warn", _where(formula), fault.what)


def core_can_be_reached(formula: Formula, kitchen: Kitchen) -> Iterator[Finding]:
    """A core temperature that water boils away under, so high up: the bake would never be called done."""
    boiling_c = boiling_at_altitude_c(kitchen.altitude_m)
    most_c = boiling_c - CORE_UNDER_BOILING_K
    for stage in formula.stages_of(formula.main):
        if stage.kind == "bake" and (stage.core_temp_c or 0.0) > most_c + _AS_GOOD_AS_REACHED_K:
            yield Finding(
                "core_can_be_reached",
                "warn",
                _where(formula),
                f"is baked to a core of {say_temp(stage.core_temp_c or 0.0)}, but at {kitchen.altitude_m:.0f} m water "
                f"boils at {say_temp(boiling_c)} and a core gets no hotter than about {say_temp(most_c)}: bake to that",
            )


def _where(formula: Formula) -> str:
    return f"formula {formula.id!r}"
