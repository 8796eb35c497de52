"""The room runs over the hours; every other place has its own temperature."""

from __future__ import annotations

import datetime as dt

import pytest

from smallhours.bakery.kitchen.document import Cold, HourTemp, Kitchen, Proofer, Temperatures
from smallhours.errors import NotFound
from smallhours.forecast.place_temp import mean_room_temp_c, moving_air, place_temp_c, room_temp_c

KITCHEN = Kitchen(
    id="k",
    name="K",
    timezone="Europe/Madrid",
    temperatures=Temperatures(
        room_c=20,
        room_course=(
            HourTemp(at=dt.time(22), temp_c=18),
            HourTemp(at=dt.time(4), temp_c=15),
            HourTemp(at=dt.time(10), temp_c=24),
        ),
    ),
    cold=(
        Cold(id="still", name="Still", temp_c=5, tray_places=10),
        Cold(id="fan", name="Fan", temp_c=3, tray_places=30, moving_air=True),
    ),
    proofers=(Proofer(id="warm", name="Warm", temp_c=32, tray_places=20),),
)


def _utc(hour: int, minute: int = 0, day: int = 15) -> dt.datetime:
    return dt.datetime(2026, 1, day, hour, minute, tzinfo=dt.UTC)


@pytest.mark.parametrize(
    ("at", "expected_c"),
    [
        (_utc(21), 18.0),  # 22:00 on the wall in Madrid, winter: UTC + 1
        (_utc(0), 16.5),  # 01:00: half way from 22:00 (18) to 04:00 (15)
        (_utc(3), 15.0),
        (_utc(6), 19.5),  # 07:00: half way from 15 to 24
        (_utc(15), 21.0),  # 16:00: half way from 10:00 (24) to 22:00 (18)
    ],
)
def test_room_runs_straight_between_hours(at: dt.datetime, expected_c: float) -> None:
    """Hand: straight lines between the three hours, round midnight; worked beside each row."""
    assert room_temp_c(KITCHEN, at) == pytest.approx(expected_c)


def test_room_without_an_instant_is_the_single_figure() -> None:
    """Limit: nobody said when."""
    assert room_temp_c(KITCHEN) == 20


def test_mean_of_a_straight_run_is_its_middle() -> None:
    """Hand: from 04:00 (15) to 10:00 (24) the room is 19.5 on average; over no time it is what it is."""
    assert mean_room_temp_c(KITCHEN, _utc(3), _utc(9)) == pytest.approx(19.5)
    assert mean_room_temp_c(KITCHEN, _utc(3), _utc(3)) == pytest.approx(15)


def test_places() -> None:
    """Behaviour: the largest fridge unless one is named; a bench is as warm as the room."""
    assert place_temp_c(KITCHEN, "fridge") == 3
    assert place_temp_c(KITCHEN, "fridge", "still") == 5
    assert place_temp_c(KITCHEN, "proofer") == 32
    assert place_temp_c(KITCHEN, "bench", at=_utc(3)) == pytest.approx(15)
    assert moving_air(KITCHEN, "fridge")
    assert not moving_air(KITCHEN, "fridge", "still")
    assert not moving_air(KITCHEN, "room")


@pytest.mark.parametrize(("place", "named"), [("freezer", None), ("fridge", "warm"), ("oven", None)])
def test_a_place_that_is_not_there(place: str, named: str | None) -> None:
    """Bad input: no freezer, a proofer asked for as a fridge, an oven that nobody has set."""
    with pytest.raises(NotFound):
        place_temp_c(KITCHEN, place, named)  # type: ignore[arg-type]
