"""Where the pieces stand: spells one after another, each with the temperature there and how heat passes the surface."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import cycle, pairwise
from typing import TYPE_CHECKING

from smallhours.errors import BadInput
from smallhours.science.heat_path.pieces import COLDEST_C, HOTTEST_C
from smallhours.science.ranges import checked, checked_all, checked_not_negative, checked_positive

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

_MOST_TRANSFER = 20_000.0


@dataclass(frozen=True)
class Spell:
    """A time in one place.

    ``outside_w_per_m2_k``: heat transfer at the outside (of a slab: its top). ``underside_w_per_m2_k``: at the
    underside of a slab, 0 if no heat passes; None: as outside. ``ambient_end_c``: how warm the place is at the end, if
    that changes, evenly.

    Raises OutOfRange for a place outside -35 to 120 °C or a transfer outside 0 to 20,000, BadInput for an end before
    the begin.
    """

    begin_s: float
    end_s: float
    ambient_c: float
    outside_w_per_m2_k: float
    underside_w_per_m2_k: float | None = None
    ambient_end_c: float | None = None

    def __post_init__(self) -> None:
        checked(self.begin_s, "the begin of a spell", -1e12, 1e12, "s")
        checked(self.end_s, "the end of a spell", -1e12, 1e12, "s")
        if not self.begin_s < self.end_s:
            raise BadInput(f"a spell must end after it begins (found {self.begin_s:g} to {self.end_s:g} s)")
        for temp_c in (self.ambient_c, self.ambient_end_c):
            if temp_c is not None:
                checked(temp_c, "the temperature of a place", COLDEST_C, HOTTEST_C, "°C")
        for transfer in (self.outside_w_per_m2_k, self.underside_w_per_m2_k):
            if transfer is not None:
                checked(transfer, "the heat transfer", 0.0, _MOST_TRANSFER, "W/(m² K)")


@dataclass(frozen=True)
class Places:
    """The places of many pieces as arrays: one value for all spells, a row ``(spells,)`` for all pieces, or
    ``(spells, pieces)`` (``(spells, 1)`` for all pieces alike).

    ``edges_s``: begin of the first spell, then the end of each, so ``(spells + 1,)`` or ``(spells + 1, pieces)``. A
    spell may last no time. Other fields as in ``Spell``; underside None: as outside, end None: as at the begin.

    Raises OutOfRange, BadInput as ``Spell``, and BadInput for edges that run backwards or lengths that do not fit.
    """

    edges_s: ArrayLike
    ambient_c: ArrayLike
    outside_w_per_m2_k: ArrayLike
    underside_w_per_m2_k: ArrayLike | None = None
    ambient_end_c: ArrayLike | None = None

    def __post_init__(self) -> None:
        edges = _columns(checked_all(self.edges_s, "the edges of spells", -1e12, 1e12, "s"), "edges_s", 0)
        if len(edges) < 2:
            raise BadInput("a path needs at least one spell with a begin and an end")
        back = edges[1:] < edges[:-1]
        if back.any():
            row, column = (int(found[0]) for found in back.nonzero())
            raise BadInput(
                f"a path must not run backwards (found {edges[row + 1, column]:g} s after {edges[row, column]:g} s)"
            )
        object.__setattr__(self, "edges_s", edges)
        under = self.outside_w_per_m2_k if self.underside_w_per_m2_k is None else self.underside_w_per_m2_k
        end = self.ambient_c if self.ambient_end_c is None else self.ambient_end_c
        temp, passed = "the temperature of a place", "the heat transfer"
        for name, values, what in (
            ("ambient_c", self.ambient_c, temp),
            ("ambient_end_c", end, temp),
            ("outside_w_per_m2_k", self.outside_w_per_m2_k, passed),
            ("underside_w_per_m2_k", under, passed),
        ):
            low, high, unit = (COLDEST_C, HOTTEST_C, "°C") if what is temp else (0.0, _MOST_TRANSFER, "W/(m² K)")
            object.__setattr__(self, name, _columns(checked_all(values, what, low, high, unit), name, len(edges) - 1))


def path_of(spells: Sequence[Spell]) -> Places:
    """The same spells for all pieces.

    Raises BadInput for no spell, a gap, or a spell that begins before the last one ended.

    Source: none but the caller's; times in seconds.
    """
    return paths_of([spells])


def paths_of(spells_of_pieces: Sequence[Sequence[Spell]]) -> Places:
    """Each piece with its own spells, not necessarily equally many.

    Raises BadInput for no spell, a gap, or a spell that begins before the last one ended.

    Source: none but the caller's; times in seconds.
    """
    import numpy as np

    for spells in spells_of_pieces:
        _unbroken(spells)
    count = max((len(spells) for spells in spells_of_pieces), default=0)
    if not count:
        raise BadInput("a path needs at least one spell with a begin and an end")
    # shorter ones end with spells of no length
    filled = [list(spells) + [spells[-1]] * (count - len(spells)) for spells in spells_of_pieces]
    ends = [[s.end_s for s in spells] for spells in filled]
    edges = np.asarray([[spells[0].begin_s, *end] for spells, end in zip(filled, ends, strict=True)]).T

    return Places(
        edges,
        _rows([[s.ambient_c for s in spells] for spells in filled]),
        _rows([[s.outside_w_per_m2_k for s in spells] for spells in filled]),
        _rows([[_or(s.underside_w_per_m2_k, s.outside_w_per_m2_k) for s in spells] for spells in filled]),
        _rows([[_or(s.ambient_end_c, s.ambient_c) for s in spells] for spells in filled]),
    )


def measured(
    times_s: ArrayLike,
    temps_c: ArrayLike,
    outside_w_per_m2_k: float,
    underside_w_per_m2_k: float | None = None,
) -> Places:
    """The path of a place whose air was measured; from one reading to the next it changes evenly.

    ``times_s``, ``temps_c``: equally long rows of two readings or more [s, °C].

    Raises OutOfRange for NaN or a temperature outside -35 to 120 °C, BadInput for times that do not rise or rows that
    are not equally long.

    Source: none but the probe's.
    """
    times = checked_all(times_s, "the time of a reading", -1e12, 1e12, "s")
    temps = checked_all(temps_c, "the reading of a probe", COLDEST_C, HOTTEST_C, "°C")
    if times.ndim != 1 or times.shape != temps.shape or times.size < 2:
        raise BadInput(f"a probe needs two readings or more, each with its time (found {times.size} and {temps.size})")
    for earlier, later in pairwise(times):
        if not earlier < later:
            raise BadInput(f"a probe's times must rise (found {later:g} s after {earlier:g} s)")
    return Places(times, temps[:-1], outside_w_per_m2_k, underside_w_per_m2_k, temps[1:])


def with_doors(spell: Spell, openings_count: int, open_s: float, warmer_k: float) -> list[Spell]:
    """A fridge whose door is opened so many times, evenly spread: the air is that much warmer for so long each time.

    The same list fits ``path_of``. While the door is open the air is ``warmer_k`` warmer for ``open_s`` seconds (that
    the air takes a while to cool again may be counted in).

    Raises OutOfRange for a negative number; BadInput if the openings do not fit into the spell or its air changes.

    Source: none but the caller's: arithmetic.
    """
    checked(openings_count, "the number of openings", 0, 10_000, "")
    checked_not_negative(open_s, "the time the door is open", "s")
    every = (spell.end_s - spell.begin_s) / max(openings_count, 1)
    if openings_count == 0 or open_s == 0.0:
        return [spell]
    checked_positive(open_s, "the time the door is open", "s")
    if not open_s < every:
        raise BadInput(f"{openings_count} openings of {open_s:g} s do not fit into {spell.end_s - spell.begin_s:g} s")
    if spell.ambient_end_c not in (None, spell.ambient_c):
        raise BadInput("door openings need a spell with the same temperature at begin and end")
    edges = [spell.begin_s]
    for number in range(openings_count):
        # the door opens in the middle of its share of the time
        opens = spell.begin_s + number * every + (every - open_s) / 2
        edges += [opens, opens + open_s]
    return [
        replace(spell, begin_s=begin, end_s=end, ambient_c=temp, ambient_end_c=None)
        for (begin, end), temp in zip(
            pairwise([*edges, spell.end_s]), cycle((spell.ambient_c, spell.ambient_c + warmer_k)), strict=False
        )
    ]


def _rows(values: Sequence[Sequence[float]]) -> Floats:
    import numpy as np

    return np.asarray(values, dtype=np.float64).T


def _or(value: float | None, other: float) -> float:
    return other if value is None else value


def _unbroken(spells: Sequence[Spell]) -> None:
    if not spells:
        raise BadInput("a path needs at least one spell with a begin and an end")
    for before, after in pairwise(spells):
        if after.begin_s == before.end_s:
            continue
        what = "leaves a gap" if after.begin_s > before.end_s else "runs backwards"
        raise BadInput(
            f"the path {what}: a spell ends at {before.end_s:g} s and the next begins at {after.begin_s:g} s; "
            "it must begin where the last one ends"
        )


def _columns(values: Floats, name: str, rows: int) -> Floats:
    """As ``(rows, 1)`` or ``(rows, pieces)``."""
    import numpy as np

    if values.ndim == 0 and rows:
        values = np.full((rows, 1), float(values))
    if values.ndim == 1:
        values = values[:, None]
    if values.ndim != 2 or (rows and len(values) != rows):
        found = " x ".join(str(n) for n in values.shape)
        raise BadInput(f"{name} must be one value, or have one row for each of {rows} spells (found {found})")
    return values
