"""Yeast in its three forms, and its dose against time.

Sources: fresh : active dry : instant = 1 : 0.40 : 0.33, J. Hamelman, Bread (2004); the reason is that dry matter
does the work (31.0 g in 100 g fresh and 94.9 g in 100 g active dry, USDA SR28 rows 18374 and 18375). Dose times time
is constant at one temperature: common practice, good within a factor of two to three.
"""

from __future__ import annotations

import math

from smallhours.bakery.pantry import Stuff
from smallhours.errors import OutOfRange

# how much instant yeast does the work of 1 g in this form
INSTANT_PER_GRAM: dict[str, float] = {
    "yeast-fresh": 0.33,
    "yeast-active-dry": 0.33 / 0.40,
    "yeast-instant": 1.0,
}


def yeast_form(stuff: Stuff) -> str | None:
    """The form of a yeast (a key of ``INSTANT_PER_GRAM``), None if it is not yeast.

    A yeast of the bakery's own that rests on none of them is taken as fresh if it is more than a third water,
    else as instant.
    """
    if stuff.kind != "yeast" and stuff.key not in INSTANT_PER_GRAM:
        return None
    for name in (stuff.key, stuff.like):
        if name in INSTANT_PER_GRAM:
            return name
    return "yeast-fresh" if (stuff.composition.water_fraction or 0.0) > 1 / 3 else "yeast-instant"


def instant_equivalent(stuff: Stuff, mass_g: float = 1.0) -> float:
    """How much instant yeast does the work of ``mass_g`` of this ingredient, in g (0 if it is not yeast).

    Raises: OutOfRange for a mass that is negative or not finite.
    """
    if not (math.isfinite(mass_g) and mass_g >= 0):
        raise OutOfRange(f"the mass of {stuff.key} must be 0 g or more (found {mass_g})")
    form = yeast_form(stuff)
    return 0.0 if form is None else INSTANT_PER_GRAM[form] * mass_g


def dose_for_time(dose: float, time_s: float, new_time_s: float) -> float:
    """The dose (any unit) that is ready in ``new_time_s`` if ``dose`` is in ``time_s``, at the same temperature.

    The trade's rule: dose x time is constant. It holds within a factor of two to three, so it is asked only for
    times up to eight times longer or shorter.

    Raises: OutOfRange outside that range, or for a dose or time that is not above 0.

    >>> dose_for_time(6.0, 1.5 * 3600, 12 * 3600)
    0.75
    """
    if not (math.isfinite(dose) and dose > 0 and time_s > 0 and new_time_s > 0):
        raise OutOfRange(f"dose and times must be above 0 (found {dose}, {time_s} s and {new_time_s} s)")
    ratio = time_s / new_time_s
    if not 1 / 8 - 1e-9 <= ratio <= 8 + 1e-9:
        raise OutOfRange(
            f"from {time_s / 3600:g} h to {new_time_s / 3600:g} h is more than eight times; the rule that dose times "
            "time is constant does not reach that far"
        )
    return dose * ratio
