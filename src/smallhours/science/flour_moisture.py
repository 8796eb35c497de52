"""What flour's own moisture changes: percentages on another moisture basis, and how much water the dough takes."""

from __future__ import annotations

from smallhours.science.ranges import checked, checked_not_negative

STANDARD_MOISTURE_PERCENT = 14.0
"""Moisture basis of flour analyses in the trade [%]; European laboratories use dry matter, 0 %."""
_WETTEST_PERCENT = 25.0


def percent_at_moisture(
    value_percent: float, moisture_percent: float, basis_moisture_percent: float = STANDARD_MOISTURE_PERCENT
) -> float:
    """What is a flour's protein or ash on another moisture basis? [% of flour at that moisture]

    Raises OutOfRange for a value outside 0 to 100 % or a moisture outside 0 to 25 %.

    Source: same dry matter: value x (100 - basis) / (100 - moisture).

    >>> round(percent_at_moisture(11.7, 12.4), 3)
    11.486
    """
    checked(value_percent, "the value", 0.0, 100.0, "%")
    return value_percent * (100.0 - _moisture(basis_moisture_percent)) / (100.0 - _moisture(moisture_percent))


def absorption_percent(
    standard_absorption_percent: float,
    moisture_percent: float,
    standard_moisture_percent: float = STANDARD_MOISTURE_PERCENT,
) -> float:
    """How much water does flour of another moisture take for a dough as stiff? [% of flour as it is]

    Raises OutOfRange for an absorption outside 0 to 200 % or a moisture outside 0 to 25 %.

    Source: same water on dry matter.

    >>> round(absorption_percent(62.0, 11.0), 2)
    67.65
    """
    absorption = checked(standard_absorption_percent, "the absorption", 0.0, 200.0, "%")
    standard, moisture = _moisture(standard_moisture_percent), _moisture(moisture_percent)
    return (standard + absorption) / (100.0 - standard) * (100.0 - moisture) - moisture


def absorption_slope_ratio(
    absorption_percent: float, standard_moisture_percent: float = STANDARD_MOISTURE_PERCENT
) -> float:
    """By how many points does absorption change for each point more of moisture? [ratio, negative]

    Raises OutOfRange as ``absorption_percent``.

    Source: slope of ``absorption_percent``.
    """
    absorption = checked(absorption_percent, "the absorption", 0.0, 200.0, "%")
    return -(100.0 + absorption) / (100.0 - _moisture(standard_moisture_percent))


def exchanged_g(
    flour_g: float,
    water_g: float,
    moisture_percent: float,
    standard_moisture_percent: float = STANDARD_MOISTURE_PERCENT,
) -> tuple[float, float]:
    """How much flour of another moisture and water replace these, dough mass and solids unchanged? [g, g]

    Raises OutOfRange for negative masses or a moisture outside 0 to 25 %; the water may come out negative.

    Source: same solids, same total.

    >>> flour, water = exchanged_g(10_000.0, 6_200.0, 11.0)
    >>> round(flour), round(water)
    (9663, 6537)
    """
    checked_not_negative(flour_g, "the mass of flour", "g")
    checked_not_negative(water_g, "the mass of water", "g")
    solids = flour_g * (100.0 - _moisture(standard_moisture_percent)) / 100.0
    flour = solids / (100.0 - _moisture(moisture_percent)) * 100.0
    return flour, flour_g + water_g - flour


def _moisture(percent: float) -> float:
    return checked(percent, "the flour's moisture", 0.0, _WETTEST_PERCENT, "%")
