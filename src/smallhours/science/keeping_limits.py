"""Whether a food's acid and water alone keep bacteria down, by the tables of the US Food Code."""

from __future__ import annotations

from typing import Literal

from smallhours.science.ranges import checked

KeepingClass = Literal["no control by the table", "assess or control"]
# sealed: for each row (upper end of the water activity) the highest pH without control
_SEALED_ROWS = ((0.92, 14.0), (0.95, 5.6), (1.0, 4.6))
_OPEN_PH = (4.2, 4.6, 5.0)


def keeping_class(acidity_ph: float, water_activity_aw: float, cooked_then_packed: bool) -> KeepingClass:
    """Do measured acidity and water activity alone spare a food time and temperature control? [pH] and [ratio]

    ``cooked_then_packed``: heated and packed afterwards so that nothing gets in again; baked but left open is not.
    ``assess or control``: a study of the product by somebody who may make it, or cold (or hot) keeping. Only for
    measured values, and only where the law follows these tables.

    Raises OutOfRange for a pH outside 0 to 14 or a water activity outside 0 to 1.

    Source: US Food Code, definition of time/temperature control for safety food, tables A and B, read as adopted in
    Tennessee 0080-04-09-.01, Georgia 40-7-1-.02, Texas 25 TAC 228.2 and Nevada NAC 446.025.

    >>> keeping_class(4.6, 0.96, cooked_then_packed=True)
    'no control by the table'
    """
    ph = checked(acidity_ph, "the acidity", 0.0, 14.0, "pH")
    aw = checked(water_activity_aw, "the water activity", 0.0, 1.0, "")
    if cooked_then_packed:
        spared = next(ph <= most_ph for most_aw, most_ph in _SEALED_ROWS if aw <= most_aw)
    elif aw < 0.88:
        spared = True
    elif aw <= 0.90:
        spared = ph <= _OPEN_PH[2]
    elif aw <= 0.92:
        spared = ph <= _OPEN_PH[1]
    else:
        spared = ph < _OPEN_PH[0]
    return "no control by the table" if spared else "assess or control"
