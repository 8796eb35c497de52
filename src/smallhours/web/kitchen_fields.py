"""Which fields the forms of the kitchen have: one table, from which they are shown and read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from smallhours.bakery import quantity
from smallhours.bakery.document import Document, text_name
from smallhours.bakery.kitchen import document as k
from smallhours.bakery.kitchen.usual import USUAL

Kind = Literal["text", "choice", "whole", "number", "numbers", "flag", "decks", "zone", "hours", "breaks", "course"]


@dataclass(frozen=True)
class FieldSpec:
    """A field of a document: its name there, how it is typed, the unit beside it, whether it has to be said."""

    name: str
    kind: Kind
    unit: str = ""
    needed: bool = True
    choices: tuple[str, ...] = ()
    help: str = ""

    @property
    def word(self) -> str:
        """The key of its label."""
        return text_name(self.name).replace("_", "-")

    @property
    def factor(self) -> float:
        """What one of its unit is in our own."""
        return FACTORS.get(self.unit, 1.0)

    @property
    def written(self) -> Callable[[str], float] | None:
        """What reads the field if it is typed with a unit of its own."""
        return next((read for suffix, read in READERS.items() if self.name.endswith(suffix)), None)


@dataclass(frozen=True)
class Section:
    """A part of the kitchen that has a form of its own."""

    key: str
    specs: tuple[FieldSpec, ...]
    model: type[Document] = k.Kitchen

    @property
    def many(self) -> bool:
        """Whether it is a list of things."""
        return self.key in USUAL


FACTORS = {"kg": 1000.0, "g": 1.0, "l": 1000.0, "cm": 10.0, "min": 60.0, "s": 1.0}
READERS: Mapping[str, Callable[[str], float]] = {
    "_g": quantity.parse_mass_g,
    "_c": quantity.parse_temp_c,
    "_mm": quantity.parse_length_mm,
    "_ml": quantity.parse_volume_ml,
    "_s": quantity.parse_duration_s,
}

_NAME = FieldSpec("name", "text")
_PLACES = FieldSpec("tray_places", "whole", help="places")


def _kinds(model: type[Document], name: str = "kind") -> FieldSpec:
    return FieldSpec(name, "choice", choices=get_args(model.model_fields[name].annotation))


SECTIONS: tuple[Section, ...] = (
    Section(
        "temperatures",
        (
            FieldSpec("room_c", "number", "°C"),
            FieldSpec("flour_c", "number", "°C", needed=False),
            FieldSpec("tap_water_c", "number", "°C"),
            FieldSpec("coldest_liquid_c", "number", "°C", help="coldest"),
            FieldSpec("room_course", "course", "°C", needed=False, help="course"),
        ),
        k.Temperatures,
    ),
    Section(
        "mixers",
        (
            _NAME,
            _kinds(k.Mixer),
            FieldSpec("bowl_ml", "number", "l", needed=False),
            FieldSpec("min_dough_g", "number", "kg"),
            FieldSpec("max_dough_g", "number", "kg", help="largest"),
            FieldSpec("max_stiff_g", "number", "kg", needed=False),
            FieldSpec("max_wet_g", "number", "kg", needed=False),
            FieldSpec("friction_k", "number", "K", needed=False, help="friction"),
            FieldSpec("clean_s", "number", "min"),
        ),
        k.Mixer,
    ),
    Section(
        "cold",
        (_NAME, _kinds(k.Cold), FieldSpec("moving_air", "flag"), FieldSpec("temp_c", "number", "°C"), _PLACES),
        k.Cold,
    ),
    Section(
        "proofers",
        (_NAME, FieldSpec("temp_c", "number", "°C"), _PLACES),
        k.Proofer,
    ),
    Section(
        "ovens",
        (
            _NAME,
            _kinds(k.Oven),
            FieldSpec("decks", "decks", help="places"),
            FieldSpec("max_temp_c", "number", "°C"),
            FieldSpec("heat_k_per_min", "number", "K/min", help="heats"),
            FieldSpec("cool_k_per_min", "number", "K/min"),
            FieldSpec("start_temp_c", "number", "°C"),
            FieldSpec("recovery_s", "number", "min"),
            FieldSpec("reserve_s", "number", "min"),
            FieldSpec("steam", "flag"),
        ),
        k.Oven,
    ),
    Section(
        "pans",
        (
            _NAME,
            _kinds(k.Pan),
            FieldSpec("count", "whole"),
            FieldSpec("tray_share", "number", help="share"),
            FieldSpec("length_mm", "number", "cm", needed=False),
            FieldSpec("width_mm", "number", "cm", needed=False),
            FieldSpec("depth_mm", "number", "cm", needed=False),
            FieldSpec("volume_ml", "number", "l", needed=False),
            FieldSpec("cool_s", "number", "min"),
        ),
        k.Pan,
    ),
    Section(
        "racks",
        (_NAME, FieldSpec("count", "whole"), _PLACES),
        k.Rack,
    ),
    Section(
        "benches",
        (_NAME, FieldSpec("places", "whole", help="at-once"), FieldSpec("clean_s", "number", "min")),
        k.Bench,
    ),
    Section(
        "people",
        (
            _NAME,
            _kinds(k.Person, "role"),
            FieldSpec("hours", "hours", needed=False, help="hours"),
            FieldSpec("breaks", "breaks", needed=False),
        ),
        k.Person,
    ),
    Section(
        "house",
        (
            _NAME,
            FieldSpec("timezone", "zone"),
            FieldSpec("scale_steps_g", "numbers", "g"),
            FieldSpec("altitude_m", "number", "m"),
            FieldSpec("slab_mass_g", "number", "kg", help="slab"),
        ),
    ),
)  # fmt: skip
"""The forms, in the order of the page. What is no list of things and has no model of its own is the kitchen itself."""

BY_KEY = {section.key: section for section in SECTIONS}
