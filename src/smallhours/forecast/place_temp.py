"""How warm it is where a dough stands: the room over the hours, cold places, proofers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from smallhours.bakery.formula.document import Place
from smallhours.bakery.kitchen.document import Cold, HourTemp, Kitchen, Proofer
from smallhours.errors import NotFound

_DAY_S = 86400.0
_IN_THE_ROOM: tuple[Place, ...] = ("mixer", "bench", "room", "rack")


def room_temp_c(kitchen: Kitchen, at: dt.datetime | None = None) -> float:
    """The room at an instant (aware); without one, the kitchen's single figure for today.

    Between the hours of the kitchen's ``room_course`` the temperature runs straight, past midnight into the first
    hour again, on the kitchen's clock.
    """
    course = kitchen.temperatures.room_course
    if at is None or not course:
        return kitchen.temperatures.room_c
    wall = at.astimezone(kitchen.zone()).time()
    return _along(course, wall.hour * 3600 + wall.minute * 60 + wall.second + wall.microsecond / 1e6)


def mean_room_temp_c(kitchen: Kitchen, start: dt.datetime, end: dt.datetime, samples: int = 13) -> float:
    """The room on average between two instants (aware)."""
    if end <= start:
        return room_temp_c(kitchen, start)
    step = (end - start) / (samples - 1)
    temps = [room_temp_c(kitchen, start + n * step) for n in range(samples)]
    return (sum(temps) - (temps[0] + temps[-1]) / 2) / (samples - 1)


def place_temp_c(kitchen: Kitchen, place: Place, equipment: str | None = None, at: dt.datetime | None = None) -> float:
    """The air of a place at an instant.

    Parameters: ``place`` as stages name it; ``equipment``: the id of one fridge, freezer or proofer (without it, the
    one with most tray places); ``at``: aware; only the room changes over the hours.
    Raises: NotFound if the kitchen has no such place, or no temperature of its own (an oven is as hot as it is set).
    """
    if place in _IN_THE_ROOM:
        return room_temp_c(kitchen, at)
    if place == "oven":
        raise NotFound("an oven has no temperature of its own: it is as hot as the stage sets it")
    return _chosen(kitchen, place, equipment).temp_c


def moving_air(kitchen: Kitchen, place: Place, equipment: str | None = None) -> bool:
    """Whether a fan blows over what stands there."""
    if place not in ("fridge", "freezer"):
        return False
    chosen = _chosen(kitchen, place, equipment)
    return isinstance(chosen, Cold) and chosen.moving_air


def _chosen(kitchen: Kitchen, place: Place, equipment: str | None) -> Cold | Proofer:
    things: dict[str, list[Cold | Proofer]] = {
        "fridge": [cold for cold in kitchen.cold if cold.kind != "freezer"],
        "freezer": [cold for cold in kitchen.cold if cold.kind == "freezer"],
        "proofer": list(kitchen.proofers),
    }
    found = [thing for thing in things[place] if equipment is None or thing.id == equipment]
    if not found:
        named = "" if equipment is None else f" {equipment!r}"
        there = ", ".join(repr(thing.id) for thing in things[place]) or "none"
        raise NotFound(f"the kitchen has no {place}{named} (there are: {there})")
    return max(found, key=lambda thing: thing.tray_places)


def _along(course: Sequence[HourTemp], second: float) -> float:
    """The course at a second of the day, running straight between its hours and round midnight."""
    points = sorted((hour.at.hour * 3600.0 + hour.at.minute * 60.0 + hour.at.second, hour.temp_c) for hour in course)
    after = next((i for i, (t, _) in enumerate(points) if t > second), len(points))
    t0, c0 = points[after - 1] if after else (points[-1][0] - _DAY_S, points[-1][1])
    t1, c1 = points[after] if after < len(points) else (points[0][0] + _DAY_S, points[0][1])
    return c0 if t1 == t0 else c0 + (c1 - c0) * (second - t0) / (t1 - t0)
