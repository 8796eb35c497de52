"""How long somebody waits who keeps failing to get in: a little longer each time."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping

from django.db import transaction

from smallhours.actions.people.secret import keyed
from smallhours.errors import TooSoon
from smallhours.records import people

FIRST_WAIT_S = 5
LONGEST_WAIT_S = 900
FORGOTTEN_AFTER = dt.timedelta(days=1)
BY_NAME, BY_ADDRESS, BY_PIN, BY_TABLET, BY_CODE = 5, 20, 3, 10, 5
"""How many tries may fail before the first wait: under one name, from one address, of one person's PIN, on one tablet,
of pairing codes from one address."""


def wait_s(failed: int, free: int) -> int:
    """Seconds to wait after so many failed tries in a row.

    >>> [wait_s(n, 5) for n in (4, 5, 6, 7, 12, 13, 99)]
    [0, 5, 10, 20, 640, 900, 900]
    """
    if failed < free:
        return 0
    return min(LONGEST_WAIT_S, FIRST_WAIT_S << min(failed - free, 20))


def count_try(subjects: Mapping[str, int], at: dt.datetime) -> dict[str, int]:
    """Count a try as failed before it is looked at, so that tries at the same moment do not slip through together.

    ``subjects``: what is counted (``name:ana``) and how many tries of it are free. Returns how often each has failed
    now. Raises TooSoon if one of them has to wait; then nothing is counted.
    """
    keys = {subject: keyed("tries", subject) for subject in subjects}
    with transaction.atomic():
        people.forget_tries_before(at - FORGOTTEN_AFTER)
        found = people.failed_tries(keys.values())
        waits = [0.0]
        for subject, free in subjects.items():
            failed, last = found.get(keys[subject], (0, at))
            waits.append(wait_s(failed, free) - (at - last).total_seconds() if failed >= free else 0.0)
        if max(waits) > 0:
            raise TooSoon(math.ceil(max(waits)))
        counts = {subject: found.get(keys[subject], (0, at))[0] + 1 for subject in subjects}
        for subject, count in counts.items():
            people.keep_tries(keys[subject], count, at)
    return counts


def was_right(right: str, counts: Mapping[str, int], at: dt.datetime) -> None:
    """The try got in: what was proven right (``right``) starts anew, everything else has one failed try less.

    A person who knows one password does not thereby get more tries at other names from the same address.
    """
    with transaction.atomic():
        for subject, count in counts.items():
            people.keep_tries(keyed("tries", subject), 0 if subject == right else count - 1, at)


def forget(subject: str, at: dt.datetime) -> None:
    """The next try is the first one again."""
    people.keep_tries(keyed("tries", subject), 0, at)
