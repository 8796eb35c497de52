"""What a thing in a small bakery's kitchen is usually like, and a whole first kitchen from a few answers.

All figures are common practice: what a new user is offered to be corrected, never what is measured.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from smallhours.bakery.kitchen.document import Kitchen

MixerKind = Literal["spiral", "planetary", "fork", "hand"]

USUAL: Mapping[str, Mapping[str, Any]] = {
    "mixers": {"kind": "spiral", "min_dough_g": 3000.0, "max_dough_g": 25000.0, "friction_k": 13.0, "clean_s": 1200.0},
    "cold": {"kind": "fridge", "temp_c": 4.0, "tray_places": 12},
    "proofers": {"temp_c": 27.0, "tray_places": 10},
    "ovens": {
        "kind": "deck",
        "decks": [{"id": "1", "tray_places": 3}, {"id": "2", "tray_places": 3}, {"id": "3", "tray_places": 3}],
        "max_temp_c": 280.0,
        "heat_k_per_min": 4.5,
        "cool_k_per_min": 1.5,
        "start_temp_c": 20.0,
        "steam": True,
    },
    "pans": {"kind": "tray", "count": 12, "tray_share": 1.0, "cool_s": 900.0},
    "racks": {"count": 1, "tray_places": 18},
    "benches": {"places": 1, "clean_s": 600.0},
    "people": {"role": "baker"},
}
"""What is offered when a thing is added, by the kitchen's field; in the JSON form (common practice)."""

RATES_K_PER_MIN: Mapping[str, tuple[float, float]] = {"deck": (4.5, 1.5), "convection": (12.0, 6.0)}
"""How fast an oven heats and cools (common practice; stone keeps its heat, a fan oven has little to keep)."""

SMALLEST_SHARE: Mapping[MixerKind, float] = {"spiral": 0.12, "planetary": 0.12, "fork": 0.15, "hand": 0.0}
"""The smallest dough that a bowl still kneads, as a share of the largest (common practice)."""


@dataclass(frozen=True)
class FirstKitchen:
    """The few answers that a first kitchen is made from; hours that end at or before their start end the next day."""

    name: str
    timezone: str
    person: str
    start: dt.time = dt.time(0, 0)
    end: dt.time = dt.time(8, 0)
    mixer: MixerKind = "spiral"
    mixer_g: float = 25000.0
    oven: Literal["deck", "convection"] = "deck"
    decks: int = 3
    deck_trays: int = 3
    trays: int = 24
    fridge_places: int = 12
    fridge_c: float = 4.0
    room_c: float = 21.0
    tap_water_c: float = 14.0


NAMES: Mapping[str, Mapping[str, str]] = {
    "en": {"mixer": "Mixer", "oven": "Oven", "cold": "Fridge", "pan": "Tray", "rack": "Rack", "bench": "Bench"},
    "es": {"mixer": "Amasadora", "oven": "Horno", "cold": "Nevera", "pan": "Bandeja", "rack": "Carro", "bench": "Mesa"},
}
"""What the things of a first kitchen are called, by language."""


def first_kitchen(answers: FirstKitchen, lang: str = "en") -> Kitchen:
    """A kitchen with one mixer, one oven, one fridge, one bench, racks, trays and one person.

    Raises DocumentError if the answers do not hold together.
    """
    called = NAMES.get(lang, NAMES["en"])
    heat, cool = RATES_K_PER_MIN[answers.oven]
    mixer = {**USUAL["mixers"], "id": "mixer", "name": called["mixer"], "kind": answers.mixer}
    mixer |= {"min_dough_g": round(SMALLEST_SHARE[answers.mixer] * answers.mixer_g), "max_dough_g": answers.mixer_g}
    oven = {**USUAL["ovens"], "id": "oven", "name": called["oven"], "kind": answers.oven}
    oven |= {"heat_k_per_min": heat, "cool_k_per_min": cool, "max_temp_c": 280.0 if answers.oven == "deck" else 250.0}
    oven |= {"decks": [{"id": str(n + 1), "tray_places": answers.deck_trays} for n in range(answers.decks)]}
    fridge = {**USUAL["cold"], "id": "fridge", "name": called["cold"]}
    fridge |= {"temp_c": answers.fridge_c, "tray_places": answers.fridge_places}
    hours = [{"start": answers.start.isoformat(), "end": answers.end.isoformat()}]
    data = {
        "id": "our-kitchen",
        "name": answers.name,
        "timezone": answers.timezone,
        "temperatures": {"room_c": answers.room_c, "tap_water_c": answers.tap_water_c},
        "mixers": [mixer],
        "ovens": [oven],
        "cold": [fridge] if answers.fridge_places else [],
        "pans": [{**USUAL["pans"], "id": "tray", "name": called["pan"], "count": answers.trays}],
        "racks": [{**USUAL["racks"], "id": "rack", "name": called["rack"], "count": max(1, -(-answers.trays // 18))}],
        "benches": [{**USUAL["benches"], "id": "bench", "name": called["bench"], "places": 2}],
        "people": [{"id": "first-baker", "name": answers.person, "role": "head-baker", "hours": hours}],
    }
    return Kitchen.read(data, "the first kitchen")
