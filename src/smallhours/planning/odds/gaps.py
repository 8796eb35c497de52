"""When there is room for a piece of work between what is taken already, in many nights at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Times = NDArray[np.float64]
    Nights = NDArray[np.bool_]


def first_gap(
    starts: Times, ends: Times, amounts: NDArray[np.int64], spare: int, wanted: Times, length: Times, not_before: Times
) -> Times:
    """The first instant from ``wanted`` on from which ``length`` seconds fit, in each night (shape (nights,)).

    ``starts``, ``ends`` (shape (stretches, nights)): what is taken, ``amounts`` (shape (stretches,)) of it; it fits
    where no more than ``spare`` is taken all the time, until ``length`` is over and ``not_before`` has come.

    >>> import numpy as np
    >>> taken = np.array([[0.0], [20.0]]), np.array([[10.0], [30.0]]), np.array([1, 1])
    >>> def fits(length): return float(first_gap(*taken, 0, np.array([5.0]), np.array([length]), np.array([0.0]))[0])
    >>> fits(10.0), fits(11.0)
    (10.0, 30.0)
    """
    import numpy as np

    at = wanted.copy()
    nights = np.arange(len(wanted))
    a, b, now, until = starts, ends, at, np.maximum(at + length, not_before)
    while True:
        met = (a < until) & (b > now)
        crowded = met.any(axis=0) if spare == 0 else amounts @ met > spare
        if not crowded.any():
            return at
        if not crowded.all():
            nights, a, b, met, now = nights[crowded], a[:, crowded], b[:, crowded], met[:, crowded], now[crowded]
        now, goes_on = _past_the_crowd(a, b, met, amounts, spare, now)
        at[nights] = now
        if not goes_on.all():
            nights, a, b, now = nights[goes_on], a[:, goes_on], b[:, goes_on], now[goes_on]
        until = np.maximum(now + length[nights], not_before[nights])


def _past_the_crowd(
    starts: Times, ends: Times, met: Nights, amounts: NDArray[np.int64], spare: int, now: Times
) -> tuple[Times, Nights]:
    """Where to look next: when the first of those leaves that make the last crowd; and in which nights there is one.

    As long as all of a crowd are there it is too much, whether work begins before them or among them.
    """
    import numpy as np

    if spare == 0:  # whatever is met is too much
        past: Times = np.where(met, ends, -np.inf).max(axis=0)
        return past, np.ones(len(now), dtype=bool)
    checks = np.where(met, np.maximum(starts, now), -np.inf)  # the most is taken when something has just begun
    there = (starts[None] <= checks[:, None]) & (ends[None] > checks[:, None])
    too_much = ((there * amounts[None, :, None]).sum(axis=1) > spare) & met
    last = np.where(too_much, checks, -np.inf).argmax(axis=0)
    crowd = there[last, :, np.arange(len(now))].T
    some: Nights = too_much.any(axis=0)
    first_out = np.where(crowd, ends, np.inf).min(axis=0)
    return np.where(some, first_out, now), some


def just_over(ends: Times, at: Times, waited: Nights) -> list[tuple[int, Nights]]:
    """Which stretches end just when something begins that ``waited``, and in which nights."""
    import numpy as np

    if not waited.any():
        return []
    over: Nights = (ends == at) & waited
    return [(n, over[n]) for n in np.flatnonzero(over.any(axis=1)).tolist()]


class Hands:
    """Stretches of work of one person: (piece, from, until), one array over the nights each."""

    def __init__(self) -> None:
        self.taken: list[tuple[int, Times, Times, float]] = []

    def take(self, piece: int, start: Times, end: Times) -> None:
        """The person works from ``start`` to ``end`` (s, shape (nights,))."""
        self.taken.append((piece, start, end, float(end.max())))

    def earliest(self, wanted: Times, length: Times, never_before_s: float) -> tuple[Times, list[tuple[int, Nights]]]:
        """When there is time for ``length`` seconds in one go, not before ``wanted`` (both shape (nights,)).

        Also tells which pieces ended just then, and in which nights. ``never_before_s``: ``wanted`` is never earlier
        than this from now on, so that what ended before it can be forgotten.
        """
        import numpy as np

        self.taken = [each for each in self.taken if each[3] > never_before_s]
        if not self.taken:
            return wanted, []
        starts = np.array([start for _, start, _, _ in self.taken])
        ends = np.array([end for _, _, end, _ in self.taken])
        at = first_gap(starts, ends, np.ones(len(ends), dtype=np.int64), 0, wanted, length, wanted)
        return at, [(self.taken[n][0], where) for n, where in just_over(ends, at, at > wanted)]
