"""Variations of a night as a command line says them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from smallhours.bakery.quantity import parse_duration_s, parse_temp_c
from smallhours.bakery.shift.variation import Variation, both
from smallhours.cli.options import read_clock
from smallhours.errors import BadInput

_HOURS = {
    "--earlier": "begins_earlier_s",
    "--later": "begins_later_s",
    "--stays": "ends_later_s",
    "--leaves": "ends_earlier_s",
}
_ORDER = re.compile(r"(?P<sign>[+-]?)(?P<pieces>\d+)(?:@(?P<due>[\d:]+))?")


def read_variations(
    files: Sequence[Path], said: Sequence[tuple[str, str]], room: str | None, each: bool
) -> tuple[Variation, ...]:
    """Every file one variation; what is ``said`` (option, text) one of it all, or one for ``each``. Raises BadInput."""
    found = [_from_file(file) for file in files]
    parts = [_part(option, text) for option, text in said]
    if room is not None:
        parts.append(_read("--room", {"room_c": _quantity("--room", room, parse_temp_c)}))
    if each:
        return (*found, *parts)
    whole = Variation()
    for part in parts:
        whole = both(whole, part)
    faults = list(whole.faults())
    if faults:
        raise BadInput(f"what would be otherwise: {faults[0]}")
    return (*found, whole) if parts else tuple(found)


def _from_file(file: Path) -> Variation:
    try:
        text = file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise BadInput(f"--file {str(file)!r} cannot be read: {error}") from None
    return Variation.read_toml(text, str(file))


def _read(option: str, data: dict[str, Any]) -> Variation:
    return Variation.read(data, option)


def _part(option: str, text: str) -> Variation:
    """One option as a variation."""
    if option in _HOURS:
        person, length = _pair(option, text, "nerea='25 min'")
        length_s = _quantity(option, length, parse_duration_s)
        return _read(option, {"hours": [{"person": person, _HOURS[option]: length_s}]})
    match option:
        case "--more" | "--fewer":
            name, _, number = text.partition("=")
            by = _whole(option, number or "1") * (1 if option == "--more" else -1)
            return _read(option, {"things": [{"equipment": name.strip(), "by": by}]})
        case "--without":
            return _read(option, {"without": [text]})
        case "--ill":
            return _read(option, {"ill": [text]})
        case "--helper":
            start, sign, end = text.partition("-")
            if not sign:
                raise BadInput(f"--helper {text!r}: are no hours: write them like 02:00-05:00")
            return _read(option, {"helpers": [{"start": read_clock(option, start), "end": read_clock(option, end)}]})
        case "--order":
            return _read(option, {"orders": [_order(text)]})
        case "--due":
            return _read(option, {"orders": [_due(text)]})
        case "--way":
            return _read(option, {"ways": [_way(text)]})
        case "--retard":
            return _read(option, {"ways": [{"product": text, "stage": "proof", "place": "fridge"}]})
        case "--deck":
            deck, temp = _pair(option, text, "deck-oven.top='190 °C'")
            return _read(option, {"decks": [{"deck": deck, "set_temp_c": _quantity(option, temp, parse_temp_c)}]})
    product, bake = _pair(option, text, "quay-loaf='220 °C, 32 min'")
    temp, comma, length = bake.partition(",")
    if not comma:
        raise BadInput(f"--bake {text!r}: says no length: write it like quay-loaf='220 °C, 32 min'")
    temp_c, length_s = _quantity(option, temp, parse_temp_c), _quantity(option, length.strip(), parse_duration_s)
    return _read(option, {"bakes": [{"product": product, "set_temp_c": temp_c, "duration_s": length_s}]})


def _order(text: str) -> dict[str, Any]:
    product, value = _pair("--order", text, "harbour-bun=+12@07:00")
    found = _ORDER.fullmatch(value)
    if found is None:
        raise BadInput(f"--order {text!r}: is no change of an order: write it like harbour-bun=+12@07:00, quay-loaf=-6")
    due = None if found["due"] is None else read_clock("--order", found["due"])
    return {"product": product, "due": due, "fewer" if found["sign"] == "-" else "more": int(found["pieces"])}


def _due(text: str) -> dict[str, Any]:
    product, new = _pair("--due", text, "quay-loaf@05:45=06:30")
    name, at, due = product.partition("@")
    old = read_clock("--due", due) if at else None
    return {"product": name, "due": old, "new_due": read_clock("--due", new)}


def _way(text: str) -> dict[str, Any]:
    stage, place = _pair("--way", text, "braid:proof=fridge")
    product, colon, key = stage.partition(":")
    if not colon:
        raise BadInput(f"--way {text!r}: names no stage: write it like braid:proof=fridge")
    return {"product": product, "stage": key, "place": place}


def _pair(option: str, text: str, example: str) -> tuple[str, str]:
    name, sign, value = text.partition("=")
    if not sign or not name.strip() or not value.strip():
        raise BadInput(f"{option} {text!r}: has no '=': write it like {example}")
    return name.strip(), value.strip()


def _whole(option: str, text: str) -> int:
    try:
        return int(text)
    except ValueError:
        raise BadInput(f"{option}: {text!r} is not a whole number") from None


def _quantity(option: str, text: str, parse: Any) -> float:
    try:
        return float(parse(text.strip()))
    except ValueError as error:
        raise BadInput(f"{option}: {error}") from None
