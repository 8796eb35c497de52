"""Refuse numbers outside the range of a relation, in one sentence; NaN is outside every range."""

from __future__ import annotations

from smallhours.errors import OutOfRange


def checked(value: float, what: str, low: float, high: float, unit: str) -> float:
    """The value itself if it lies from ``low`` to ``high``, in the unit [named by the caller].

    Raises OutOfRange otherwise, also for NaN. Source of the limits: the caller's relation.

    Source: none but the caller's.

    >>> checked(24.0, "the dough temperature", -5, 60, "°C")
    24.0
    """
    if not low <= value <= high:
        raise OutOfRange(f"{what} must be {low:g} to {high:g} {unit} (found {value:g})")
    return value


def checked_positive(value: float, what: str, unit: str) -> float:
    """The value itself if it is finite and more than zero, in the unit [named by the caller].

    Raises OutOfRange otherwise, also for NaN.

    Source: none but the caller's.
    """
    if not 0.0 < value < float("inf"):
        raise OutOfRange(f"{what} must be more than 0 {unit} (found {value:g})")
    return value


def checked_not_negative(value: float, what: str, unit: str) -> float:
    """The value itself if it is finite and zero or more, in the unit [named by the caller].

    Raises OutOfRange otherwise, also for NaN.

    Source: none but the caller's.
    """
    if not 0.0 <= value < float("inf"):
        raise OutOfRange(f"{what} must be zero or more {unit} (found {value:g})")
    return value
