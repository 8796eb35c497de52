"""Quantities as people write them ("1 h 30 min", "75 °F", "3 lb 6 oz", "16 in"), read once, at the edge.

Inside, every quantity is a float in one unit: seconds, degrees Celsius, grams, millimetres, millilitres.
The annotated types here are what documents use for their fields: they take the written form or a plain
number already in that unit.

Source of the conversion factors: NIST SP 811 (2008), Appendix B.8 (exact definitions of inch, pound and
US customary volumes).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema

_NUMBER = re.compile(r"\s*([+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+))\s*([^\d\s+.,-][^\d\s]*)?\s*")

DURATION_UNITS: Mapping[str, float] = {"s": 1.0, "min": 60.0, "h": 3600.0, "d": 86400.0}
MASS_UNITS: Mapping[str, float] = {"mg": 0.001, "g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
LENGTH_UNITS: Mapping[str, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
VOLUME_UNITS: Mapping[str, float] = {"ml": 1.0, "l": 1000.0, "L": 1000.0, "qt": 946.352946}
_CELSIUS = ("°C", "C", "℃")
_FAHRENHEIT = ("°F", "F", "℉")


def _written(text: str, units: Mapping[str, float], kind: str, example: str) -> float:
    """Sum of number-unit pairs such as ``1 h 30 min``. Raises ValueError with what would be right."""
    total, at, sign = 0.0, 0, 1.0
    while at < len(text):
        found = _NUMBER.match(text, at)
        if found is None or found.group(2) not in units:
            known = ", ".join(units)
            raise ValueError(f"{text!r} is not a {kind}: write it like {example!r} (units: {known})")
        number = float(found.group(1).replace(",", "."))
        if at > 0 and number < 0:
            raise ValueError(f"{text!r} is not a {kind}: only its first number can be negative")
        if at == 0 and found.group(1).startswith("-"):
            sign = -1.0
        total += abs(number) * units[found.group(2)]
        at = found.end()
    if not text.strip():
        raise ValueError(f"an empty text is not a {kind}: write it like {example!r}")
    return sign * round(total, 9)  # 12 in is 304.8 mm, not 304.79999999999995


def parse_duration_s(text: str) -> float:
    """Seconds in a written duration.

    >>> parse_duration_s("1 h 30 min")
    5400.0
    """
    return _written(text, DURATION_UNITS, "duration", "1 h 30 min")


def parse_mass_g(text: str) -> float:
    """Grams in a written mass (avoirdupois pounds and ounces).

    >>> round(parse_mass_g("3 lb 6 oz"), 2)
    1530.87
    """
    return _written(text, MASS_UNITS, "mass", "7.2 kg")


def parse_length_mm(text: str) -> float:
    """Millimetres in a written length.

    >>> round(parse_length_mm("16 in"), 1)
    406.4
    """
    return _written(text, LENGTH_UNITS, "length", "40 cm")


def parse_volume_ml(text: str) -> float:
    """Millilitres in a written volume (US liquid quart).

    >>> parse_volume_ml("20 l")
    20000.0
    """
    return _written(text, VOLUME_UNITS, "volume", "20 l")


def parse_temp_c(text: str) -> float:
    """Degrees Celsius in a written temperature.

    >>> parse_temp_c("350 °F")
    176.67
    """
    found = re.fullmatch(r"\s*([+-]?\d+(?:[.,]\d+)?)\s*(°?[CF]|℃|℉)\s*", text)
    if found is None:
        raise ValueError(f"{text!r} is not a temperature: write it like '24 °C' or '75 °F'")
    number = float(found.group(1).replace(",", "."))
    return number if found.group(2) in _CELSIUS else round((number - 32.0) / 1.8, 2)


def _either(parse: Callable[[str], float], kind: str) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        if isinstance(value, str):
            return parse(value)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError(f"{value!r} is not a {kind}")
        if not math.isfinite(value):
            raise ValueError(f"a {kind} must be a finite number (found {value})")
        return float(value)

    return read


def _schema(description: str, pattern: str) -> WithJsonSchema:
    return WithJsonSchema(
        {"anyOf": [{"type": "number"}, {"type": "string", "pattern": pattern}], "description": description}
    )


def _pairs(units: Mapping[str, float]) -> str:
    names = "|".join(units)
    return rf"^\s*-?([0-9]+([.,][0-9]+)?\s*({names})\s*)+$"


Seconds = Annotated[
    float,
    Field(ge=0),
    BeforeValidator(_either(parse_duration_s, "duration")),
    _schema("duration: seconds, or written like '1 h 30 min'", _pairs(DURATION_UNITS)),
]
Celsius = Annotated[
    float,
    Field(ge=-60, le=400),
    BeforeValidator(_either(parse_temp_c, "temperature")),
    _schema(
        "temperature: degrees Celsius, or written like '24 °C' or '75 °F'",
        r"^\s*[+-]?[0-9]+([.,][0-9]+)?\s*°?[CF]\s*$",
    ),
]
Grams = Annotated[
    float,
    Field(ge=0),
    BeforeValidator(_either(parse_mass_g, "mass")),
    _schema("mass: grams, or written like '7.2 kg' or '3 lb 6 oz'", _pairs(MASS_UNITS)),
]
Millimetres = Annotated[
    float,
    Field(gt=0),
    BeforeValidator(_either(parse_length_mm, "length")),
    _schema("length: millimetres, or written like '40 cm' or '16 in'", _pairs(LENGTH_UNITS)),
]
Millilitres = Annotated[
    float,
    Field(gt=0),
    BeforeValidator(_either(parse_volume_ml, "volume")),
    _schema("volume: millilitres, or written like '20 l'", _pairs(VOLUME_UNITS)),
]
Percent = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]


def _plain(number: float, digits: int = 3) -> str:
    return f"{round(number, digits):.{digits}f}".rstrip("0").rstrip(".")


def write_duration(duration_s: float) -> str:
    """The written form of a duration; reads back to the same number of seconds.

    >>> write_duration(5400)
    '1 h 30 min'
    """
    seconds = round(duration_s, 3)
    if seconds < 60 or seconds % 1:
        return f"{_plain(seconds)} s"
    hours, rest = divmod(int(seconds), 3600)
    minutes, left = divmod(rest, 60)
    parts = [f"{hours} h"] * bool(hours) + [f"{minutes} min"] * bool(minutes) + [f"{left} s"] * bool(left)
    return " ".join(parts)


def write_mass(mass_g: float) -> str:
    """The written form of a mass; reads back to within a milligram."""
    return f"{_plain(mass_g / 1000, 6)} kg" if mass_g >= 1000 else f"{_plain(mass_g)} g"


def write_length(length_mm: float) -> str:
    """The written form of a length; reads back to within a micrometre."""
    return f"{_plain(length_mm)} mm"


def write_temp(temp_c: float) -> str:
    """The written form of a temperature."""
    return f"{_plain(temp_c, 2)} °C"


def say_temp(temp_c: float) -> str:
    """A temperature as a sentence says it: whole degrees, or one decimal where there is one.

    >>> say_temp(24.0), say_temp(25.5591)
    ('24 °C', '25.6 °C')
    """
    return f"{_plain(temp_c, 1)} °C"


def say_set_temp(temp_c: float) -> str:
    """A temperature that something is set to, as people read it: whole degrees.

    >>> say_set_temp(parse_temp_c("350 °F"))
    '177 °C'
    """
    return f"{temp_c:.0f} °C"


def write_volume(volume_ml: float) -> str:
    """The written form of a volume."""
    return f"{_plain(volume_ml / 1000, 6)} l" if volume_ml >= 1000 else f"{_plain(volume_ml)} ml"


# suffix of a field's name -> how its value is written in the text form
WRITERS: Mapping[str, Callable[[float], str]] = {
    "_s": write_duration,
    "_g": write_mass,
    "_mm": write_length,
    "_c": write_temp,
    "_ml": write_volume,
}
