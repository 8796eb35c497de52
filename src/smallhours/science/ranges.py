"""Refuse numbers outside the range of a relation, in one sentence; NaN is outside every range."""

from __future__ import annotations

from typing import TYPE_CHECKING

from smallhours.errors import BadInput, OutOfRange

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray


def checked(value: float, what: str, low: float, high: float, unit: str) -> float:
    """The value itself if it lies from ``low`` to ``high``, in the unit [named by the caller].

    Raises OutOfRange otherwise, also for NaN. Source of the limits: the caller's relation.

    Source: none but the caller's.

    >>> checked(24.0, "the dough temperature", -5, 60, "°C")
    24.0
    """
    if not low <= value <= high:
        raise OutOfRange(f"{what} must be {low:g} to {high:g}{_in(unit)} (found {value:g})")
    return value


def checked_positive(value: float, what: str, unit: str) -> float:
    """The value itself if it is finite and more than zero, in the unit [named by the caller].

    Raises OutOfRange otherwise, also for NaN.

    Source: none but the caller's.
    """
    if not 0.0 < value < float("inf"):
        raise OutOfRange(f"{what} must be more than 0{_in(unit)} (found {value:g})")
    return value


def checked_not_negative(value: float, what: str, unit: str) -> float:
    """The value itself if it is finite and zero or more, in the unit [named by the caller].

    Raises OutOfRange otherwise, also for NaN.

    Source: none but the caller's.
    """
    if not 0.0 <= value < float("inf"):
        raise OutOfRange(f"{what} must be zero or more{_in(unit)} (found {value:g})")
    return value


def checked_all(values: ArrayLike, what: str, low: float, high: float, unit: str) -> NDArray[np.float64]:
    """The values as an array if each of them lies from ``low`` to ``high``, in the unit [named by the caller].

    Raises OutOfRange otherwise, naming the first that does not, also for NaN; BadInput for what are no numbers.

    Source: none but the caller's.
    """
    array = _numbers(values, what, unit)
    wrong = ~((array >= low) & (array <= high))
    if wrong.any():
        raise OutOfRange(f"{what} must be {low:g} to {high:g}{_in(unit)} (found {array[wrong].flat[0]:g})")
    return array


def checked_all_positive(values: ArrayLike, what: str, unit: str) -> NDArray[np.float64]:
    """The values as an array if each is finite and more than zero, in the unit [named by the caller].

    Raises OutOfRange otherwise, naming the first that is not, also for NaN; BadInput for what are no numbers.

    Source: none but the caller's.
    """
    array = _numbers(values, what, unit)
    wrong = ~((array > 0.0) & (array < float("inf")))
    if wrong.any():
        raise OutOfRange(f"{what} must be more than 0{_in(unit)} (found {array[wrong].flat[0]:g})")
    return array


def _in(unit: str) -> str:
    return f" {unit}" if unit else ""


def _numbers(values: ArrayLike, what: str, unit: str) -> NDArray[np.float64]:
    import numpy as np

    try:
        return np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise BadInput(f"{what} must be numbers in {unit or 'one shape'} (found {values!r})") from error
