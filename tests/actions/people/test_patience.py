"""Waiting after failed tries."""

from __future__ import annotations

import datetime as dt
import threading
from pathlib import Path

import pytest

from smallhours.actions.people import patience
from smallhours.errors import TooSoon

AT = dt.datetime(2026, 1, 15, 3, 0, tzinfo=dt.UTC)


def _later(seconds: float) -> dt.datetime:
    return AT + dt.timedelta(seconds=seconds)


def test_the_wait_doubles_up_to_a_quarter_of_an_hour() -> None:
    """Hand: 5 s after the fifth, then 10, 20, 40, 80, 160, 320, 640, and 900 from the thirteenth on."""
    waits = [patience.wait_s(failed, 5) for failed in range(15)]
    assert waits == [0] * 5 + [5, 10, 20, 40, 80, 160, 320, 640, 900, 900]
    assert patience.wait_s(10**9, 5) == 900


def test_a_password_cannot_be_guessed_by_trying() -> None:
    """Hand: the first 12 waits are 5 + 10 + ... + 640 = 1275 s after 4 free tries, every further one is 900 s: in a day
    (86 400 s) at most 13 + (86 400 - 1275) / 900 = 107.6 tries under one name are looked at."""
    tries, at = 0, 0.0
    while at < 86400:
        tries += 1
        at += patience.wait_s(tries, patience.BY_NAME)
    assert tries <= 108


def test_tries_are_counted_and_then_have_to_wait(home: Path) -> None:
    """Hand: five tries are free; the sixth waits 5 s from the fifth, a try meanwhile does not make the wait longer."""
    for second in range(5):
        assert patience.count_try({"name:a": 5}, _later(second)) == {"name:a": second + 1}
    for second in (4, 5, 8.5):
        with pytest.raises(TooSoon) as refused:
            patience.count_try({"name:a": 5}, _later(second))
        assert refused.value.wait_s == -int(-(9 - second) // 1)
    assert patience.count_try({"name:a": 5}, _later(9)) == {"name:a": 6}
    with pytest.raises(TooSoon, match="wait 10 s"):
        patience.count_try({"name:a": 5}, _later(9))
    assert patience.count_try({"name:b": 5}, _later(9)) == {"name:b": 1}


def test_one_that_waits_holds_back_the_others_uncounted(home: Path) -> None:
    """Behaviour: where the address waits, the name is not counted."""
    for _ in range(2):
        patience.count_try({"from:x": 2}, AT)
    with pytest.raises(TooSoon):
        patience.count_try({"from:x": 2, "name:a": 5}, AT)
    assert patience.count_try({"name:a": 5}, AT) == {"name:a": 1}


def test_a_right_try_starts_the_name_anew_but_not_the_address(home: Path) -> None:
    """Behaviour: whoever knows one password does not get more tries at other names with it."""
    for _ in range(3):
        patience.count_try({"name:b": 5, "from:x": 20}, AT)
    counts = patience.count_try({"name:a": 5, "from:x": 20}, AT)
    patience.was_right("name:a", counts, AT)
    assert patience.count_try({"name:a": 5, "from:x": 20}, AT) == {"name:a": 1, "from:x": 4}


def test_after_a_day_all_is_forgotten(home: Path) -> None:
    """Limit: a day and a second after the last failed try the count begins at 1."""
    for _ in range(4):
        patience.count_try({"name:a": 5}, AT)
    assert patience.count_try({"name:a": 5}, _later(86401)) == {"name:a": 1}


def test_tries_at_the_same_moment_do_not_slip_through_together(home: Path) -> None:
    """Behaviour: of twelve threads that try at once five are let through, because a try counts before it is looked
    at."""
    from django.db import connection

    through: list[int] = []
    kept_out: list[int] = []

    def attempt() -> None:
        try:
            through.append(patience.count_try({"name:a": 5}, AT)["name:a"])
        except TooSoon as error:
            kept_out.append(error.wait_s)
        finally:
            connection.close()

    threads = [threading.Thread(target=attempt) for _ in range(12)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert sorted(through) == [1, 2, 3, 4, 5]
    assert kept_out == [5] * 7


def test_no_names_are_kept(home: Path) -> None:
    """Behaviour: what is counted is a keyed hash; a password typed into the field of the name is not in the store."""
    from smallhours.records.models import FailedTries

    patience.count_try({"name:the oven is warm": 5}, AT)
    assert len(FailedTries.objects.get().subject) == 64
    assert "oven" not in FailedTries.objects.get().subject
