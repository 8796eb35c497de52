"""The kitchen document: mixers, benches, cold places, ovens, racks, pans, people and today's temperatures."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections.abc import Iterable
from typing import Literal

from pydantic import Field

from smallhours.bakery.document import Document, Slug, Words
from smallhours.bakery.quantity import Celsius, Grams, Millilitres, Millimetres, Seconds
from smallhours.errors import Fault

Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
Priority = Literal["on-time", "hours", "freshness", "lengths", "oven"]
PRIORITIES: tuple[Priority, ...] = ("on-time", "hours", "freshness", "lengths", "oven")
DAYS: tuple[Day, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


class Mixer(Document):
    """A mixer and what its bowl takes.

    ``min_dough_g``/``max_dough_g`` hold for a dough of medium stiffness; ``max_stiff_g`` (little liquid) and
    ``max_wet_g`` (much liquid) where they differ. ``rise_low_k_per_min``/``rise_high_k_per_min``: how much a dough
    warms per minute on first and second speed. ``friction_k``: the figure of the trade's sum rule.
    ``bowl_heat_j_per_k``: heat the bowl takes. ``clean_s``: how long somebody takes to clean bowl, tool and guard so
    that a dough which has to be free from an allergen may follow one that holds it (20 min if not said: common
    practice).
    """

    id: Slug
    name: Words
    kind: Literal["spiral", "planetary", "fork", "hand"] = "spiral"
    bowl_ml: Millilitres | None = None
    min_dough_g: Grams
    max_dough_g: Grams
    max_stiff_g: Grams | None = None
    max_wet_g: Grams | None = None
    rise_low_k_per_min: float | None = Field(default=None, ge=0, le=5)
    rise_high_k_per_min: float | None = Field(default=None, ge=0, le=8)
    friction_k: float | None = Field(default=None, ge=0, le=40)
    bowl_heat_j_per_k: float = Field(default=0, ge=0, le=100000)
    clean_s: Seconds = 1200.0

    def faults(self) -> Iterable[Fault]:
        top = max(self.max_dough_g, self.max_stiff_g or 0, self.max_wet_g or 0)
        if self.min_dough_g > top or top <= 0:
            yield Fault(f"mixer {self.id!r}", "its smallest dough is larger than its largest")


class Bench(Document):
    """A bench; ``places``: how many people can work at it at once.

    ``clean_s``: how long somebody takes to clean all of it, scrapers and pins too, so that a dough which has to be free
    from an allergen may follow one that holds it (10 min if not said: common practice).
    """

    id: Slug
    name: Words
    places: int = Field(default=1, ge=1, le=20)
    clean_s: Seconds = 600.0


class Cold(Document):
    """A fridge, retarder or freezer; ``moving_air``: a fan blows over the trays; ``tray_places``: full trays.

    ``most_openings_per_h``: in no hour is more put in and taken out than so many times, each dough or lot once in and
    once out (any number, if not said).
    """

    id: Slug
    name: Words
    kind: Literal["fridge", "retarder", "freezer"] = "fridge"
    moving_air: bool = False
    temp_c: Celsius
    tray_places: int = Field(ge=1, le=2000)
    most_openings_per_h: int | None = Field(default=None, ge=1, le=1000)


class Proofer(Document):
    """A proofer; ``tray_places``: full trays it holds."""

    id: Slug
    name: Words
    temp_c: Celsius
    tray_places: int = Field(ge=1, le=2000)


class Deck(Document):
    """One chamber of an oven that stands at one temperature at a time; ``tray_places``: full trays at once."""

    id: Slug
    tray_places: int = Field(ge=1, le=200)


class Oven(Document):
    """An oven: chambers that are set on their own, how fast they heat and cool, how hot they stand at the start.

    ``recovery_s``: how long a place in it takes, once its load came out, to be as hot as before (common practice: none
    where a fan blows, 5 to 15 min on a stone or steel sole). ``reserve_s``: how much longer it is kept free for the
    next load, for what goes otherwise.
    """

    id: Slug
    name: Words
    kind: Literal["deck", "convection"] = "deck"
    decks: tuple[Deck, ...]
    max_temp_c: Celsius = 280.0
    heat_k_per_min: float = Field(gt=0, le=60)
    cool_k_per_min: float = Field(gt=0, le=60)
    start_temp_c: Celsius = 20.0
    steam: bool = False
    recovery_s: Seconds = Field(default=0.0, le=7200)
    reserve_s: Seconds = Field(default=0.0, le=7200)

    def faults(self) -> Iterable[Fault]:
        if not self.decks:
            yield Fault(f"oven {self.id!r}", "has no decks: give it at least one, with its tray places")


class Pan(Document):
    """A kind of tray or tin and how many there are.

    ``tray_share``: the part of a full tray place that one takes in oven, fridge and rack; ``cool_s``: how long
    after the oven until it can be filled again.
    """

    id: Slug
    name: Words
    kind: Literal["tray", "tin", "muffin-tin", "board", "basket"] = "tray"
    count: int = Field(ge=0, le=10000)
    tray_share: float = Field(default=1.0, gt=0, le=4)
    length_mm: Millimetres | None = None
    width_mm: Millimetres | None = None
    depth_mm: Millimetres | None = None
    volume_ml: Millilitres | None = None
    cool_s: Seconds = 900.0


class Rack(Document):
    """Racks of one kind standing in the room: where trays rest, proof and cool."""

    id: Slug
    name: Words
    count: int = Field(default=1, ge=1, le=200)
    tray_places: int = Field(ge=1, le=100)


class Hours(Document):
    """Working hours; an end at or before the start is on the next day. Times are on the kitchen's clock."""

    days: tuple[Day, ...] = DAYS
    start: dt.time
    end: dt.time


class Break(Document):
    """A pause of ``duration_s`` somewhere between ``earliest`` and ``latest`` (times on the kitchen's clock)."""

    earliest: dt.time
    latest: dt.time
    duration_s: Seconds


class Person(Document):
    """Somebody who works here, with hours and pauses."""

    id: Slug
    name: Words
    role: Literal["head-baker", "baker", "assistant"] = "baker"
    hours: tuple[Hours, ...] = ()
    breaks: tuple[Break, ...] = ()


class HourTemp(Document):
    """The room at a time of day."""

    at: dt.time
    temp_c: Celsius


class Temperatures(Document):
    """Today's temperatures. ``room_course``: how the room runs over the day, where it is not one value."""

    room_c: Celsius
    flour_c: Celsius | None = None
    tap_water_c: Celsius = 12.0
    coldest_liquid_c: Celsius = 2.0
    room_course: tuple[HourTemp, ...] = ()


class Kitchen(Document):
    """A whole kitchen.

    ``scale_steps_g``: the steps of its scales, finest first; ``altitude_m``: height above the sea,
    which says how hot a core can get; ``slab_mass_g``: dough that one full tray holds when it is chilled in bulk as a
    slab. ``plan_first``: what matters first when a night is planned, after being on time; the rest follows in the order
    on-time, hours, freshness, lengths, oven.
    """

    id: Slug
    name: Words
    timezone: str
    temperatures: Temperatures
    mixers: tuple[Mixer, ...] = ()
    benches: tuple[Bench, ...] = ()
    cold: tuple[Cold, ...] = ()
    proofers: tuple[Proofer, ...] = ()
    ovens: tuple[Oven, ...] = ()
    pans: tuple[Pan, ...] = ()
    racks: tuple[Rack, ...] = ()
    people: tuple[Person, ...] = ()
    scale_steps_g: tuple[float, ...] = (1.0, 5.0)
    altitude_m: float = Field(default=0, ge=-400, le=5000)
    slab_mass_g: Grams = Field(default=5000.0, gt=0)
    plan_first: tuple[Priority, ...] = ()

    def zone(self) -> zoneinfo.ZoneInfo:
        """The kitchen's time zone."""
        return zoneinfo.ZoneInfo(self.timezone)

    def faults(self) -> Iterable[Fault]:
        try:
            self.zone()
        except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
            yield Fault("timezone", f"{self.timezone!r} is not a time zone: write one like 'Europe/Madrid'")
        groups = (
            self.mixers,
            self.benches,
            self.cold,
            self.proofers,
            self.ovens,
            self.pans,
            self.racks,
            self.people,
        )
        for word in sorted({word for word in self.plan_first if self.plan_first.count(word) > 1}):
            yield Fault("plan_first", f"{word!r} is said twice; it can come first only once")
        ids = [thing.id for group in groups for thing in group]
        for name in sorted({i for i in ids if ids.count(i) > 1}):
            yield Fault(f"{name!r}", "names two things in this kitchen; every id must be its own")
        for thing in (*self.mixers, *self.ovens):
            yield from thing.faults()
        if not self.scale_steps_g or min(self.scale_steps_g) <= 0:
            yield Fault("scale_steps", "give at least one scale step above 0 g")
