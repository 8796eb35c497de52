"""How warm many pieces are along the places they stand in: mean, core, skin, and each layer if asked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.errors import BadInput, OutOfRange
from smallhours.science.heat_path.pieces import Pieces
from smallhours.science.heat_path.places import Places
from smallhours.science.ranges import checked, checked_all

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    from smallhours.science.heat_path.grid import Steps
    from smallhours.science.heat_path.stepping import March, Reported

    Floats = NDArray[np.float64]

OwnHeat = Callable[["Floats", "Floats"], "ArrayLike"]
"""(temperatures [°C], (nodes, pieces); instants [s], (pieces,)) -> heat made [W/kg], anything that broadcasts.

The nodes come in an order of the solver's own: heat may depend on their temperature, not on their place."""
_REPORTS = 145
_BLOCK = 1024
# own heat and growth change on their own between the wanted times: look at least this often
_LOOK_EVERY_S = 900.0


@dataclass(frozen=True)
class Resolution:
    """How finely the solver looks.

    As shipped: mean, core and skin stay within 0.05 K of the exact series after a step of 20 K, for Biot numbers from
    0.1 to 10, at all times. ``cells_count``: even; a slab over its whole thickness, others over the radius.
    ``step_ratio``: how much longer than the last each step may be. ``tolerance_k``: sets the first step and the layer
    at the surface after a change of place.
    """

    cells_count: int = 40
    step_ratio: float = 1.3
    tolerance_k: float = 0.05

    def __post_init__(self) -> None:
        checked(self.cells_count, "the number of cells", 4, 1000, "")
        if self.cells_count % 2:
            raise BadInput(f"the number of cells must be even, so that a slab has a middle (found {self.cells_count})")
        checked(self.step_ratio, "the ratio of steps", 1.001, 3.0, "")
        checked(self.tolerance_k, "the tolerance", 1e-5, 5.0, "K")


SHIPPED = Resolution()
QUICK = Resolution(20, 1.6, 0.2)
"""For ensembles: four times as quick; mean and core within 0.1 K, skin within 0.15 K after a step of 20 K."""


@dataclass(frozen=True)
class Growth:
    """How the pieces change size as they rise, relative to ``size_mm``; between times evenly, outside as at the ends.

    ``times_s``: ``(times,)``, rising. The others: one value, ``(times,)``, or ``(times, pieces)``. ``size_factor``:
    thickness or radius. ``spread_factor``: a slab's area or a log's length (1 in a pan; a sphere's must be 1).
    ``conductivity_factor``: bubbles hinder heat (see ``thermal_properties`` for a gas fraction).

    Mass and heat stay with the dough: layers move with it. Raises OutOfRange for factors outside 0.2 to 10, BadInput
    for times that do not rise or lengths that do not fit.
    """

    times_s: ArrayLike
    size_factor: ArrayLike
    spread_factor: ArrayLike = 1.0
    conductivity_factor: ArrayLike = 1.0

    def __post_init__(self) -> None:
        import numpy as np

        times = np.atleast_1d(checked_all(self.times_s, "the times of a growth", -1e12, 1e12, "s"))
        if times.ndim != 1 or not (np.diff(times) > 0.0).all():
            raise BadInput("the times of a growth must be one row that rises")
        object.__setattr__(self, "times_s", times)
        for name in ("size_factor", "spread_factor", "conductivity_factor"):
            values = checked_all(getattr(self, name), f"the {name.replace('_', ' ')}", 0.2, 10.0, "times")
            values = np.full(times.shape, float(values)) if values.ndim == 0 else values
            values = values[:, None] if values.ndim == 1 else values
            if values.ndim != 2 or len(values) != len(times):
                raise BadInput(f"the {name} must have one row for each of {len(times)} times (found {len(values)})")
            object.__setattr__(self, name, values)


@dataclass(frozen=True)
class HeatHistory:
    """Temperatures and heat, each ``(pieces, times)``.

    ``core_c``: the middle of a slab's thickness, of a cylinder or sphere. ``skin_c``: the outside, of a slab its top.
    ``underside_c``: of a slab; of others the same as the skin. ``taken_up_j_per_g``: heat through the surface since the
    begin, out of the piece negative. ``own_heat_j_per_g``: heat made inside since the begin.

    ``profiles_c``: None unless asked for, else ``(pieces, times, nodes)`` at ``positions_fraction``, ``(pieces,
    nodes)``, 0 at the underside (slab) or middle to 1 at the outside; ``weights_fraction``: each node's share
    of the mass.
    """

    times_s: Floats
    mean_c: Floats
    core_c: Floats
    skin_c: Floats
    underside_c: Floats
    taken_up_j_per_g: Floats
    own_heat_j_per_g: Floats
    profiles_c: Floats | None
    positions_fraction: Floats
    weights_fraction: Floats

    def first_time_s(self, wanted_c: float, values_c: ArrayLike | None = None) -> Floats:
        """When each piece first reaches a temperature, coming from either side; NaN if it does not [s], ``(pieces,)``.

        ``values_c``: ``core_c`` (the default), ``mean_c`` or another row of this history.

        Between two reported times it runs straight, so report often where it matters. Raises OutOfRange for NaN,
        BadInput for a history of a single time.
        """
        import numpy as np

        checked(wanted_c, "the wanted temperature", -100.0, 400.0, "°C")
        rows = np.asarray(self.core_c if values_c is None else values_c)
        if len(self.times_s) < 2 or rows.shape != self.core_c.shape:
            raise BadInput("a first time needs two reported times or more, and a row of temperatures for each piece")
        above = rows - wanted_c
        crossed = (above[:, 1:] * above[:, :1] <= 0.0) & (above[:, :1] != 0.0)
        index = crossed.argmax(axis=1)
        piece = np.arange(len(rows))
        before, after = above[piece, index], above[piece, index + 1]
        gone = self.times_s[index + 1] - self.times_s[index]
        share = np.divide(before, before - after, out=np.zeros_like(before), where=before != after)
        when = np.where(crossed.any(axis=1), self.times_s[index] + share * gone, np.nan)
        found: Floats = np.where(above[:, 0] == 0.0, self.times_s[0], when)
        return found


def follow(
    pieces: Pieces,
    places: Places,
    times_s: ArrayLike | None = None,
    own_heat: OwnHeat | None = None,
    growth: Growth | None = None,
    profiles: bool = False,
    resolution: Resolution = SHIPPED,
) -> HeatHistory:
    """How warm is every piece at these times?

    ``times_s``: rising, within the path of every piece; without them 145 from begin to end (every 10 minutes of a day).
    ``own_heat``: see ``OwnHeat``; called once for each step. ``profiles``: keep every node too.

    A path with one value of everything and a piece each for so many shapes, or one piece and many paths: what is single
    is used for all.

    Raises OutOfRange for times outside the path, BadInput for lengths that do not fit together.

    Source: heat conduction with convection at the faces, in finite volumes that move with the dough; two implicit
    stages after Alexander (1977), SIAM J. Numer. Anal. 14:1006. Checked against the series of ``conduction``.
    """
    import numpy as np

    pieces, places, growth = _aligned(pieces, places, growth)
    wanted = _wanted(places, times_s)
    found = []
    for begin in range(0, pieces.pieces_count, _BLOCK):
        block = slice(begin, begin + _BLOCK)
        heat = None if own_heat is None else _of_block(own_heat, block, pieces.pieces_count)
        part = None if growth is None else _growth_of(growth, block)
        here, there = _pieces_of(pieces, block), _places_of(places, block)
        found.append(_history(here, there, wanted, heat, part, profiles, resolution))
    if len(found) == 1:
        return found[0]
    names = [name for name in HeatHistory.__dataclass_fields__ if name not in ("times_s", "profiles_c")]
    joined = {name: np.concatenate([getattr(one, name) for one in found]) for name in names}
    kept = np.concatenate([one.profiles_c for one in found if one.profiles_c is not None]) if profiles else None
    return HeatHistory(times_s=wanted, profiles_c=kept, **joined)


def _history(
    pieces: Pieces,
    places: Places,
    wanted_s: Floats,
    own_heat: OwnHeat | None,
    growth: Growth | None,
    profiles: bool,
    resolution: Resolution,
) -> HeatHistory:
    import numpy as np

    from smallhours.science.heat_path.grid import flux_jumps, mesh_of, steps_of
    from smallhours.science.heat_path.stepping import run

    jumps = flux_jumps(pieces, places)
    mesh = mesh_of(pieces, jumps, int(resolution.cells_count), resolution.tolerance_k)
    between = np.empty(0)
    if own_heat is not None or growth is not None:
        between = np.arange(float(np.asarray(places.edges_s)[0].min()), wanted_s[-1], _LOOK_EVERY_S)
    steps = steps_of(pieces, places, jumps, wanted_s, between, resolution.step_ratio, resolution.tolerance_k)
    march = _march(pieces, places, mesh.x_m / mesh.x_m[-1], own_heat, growth, steps, mesh)
    kept = run(march, len(wanted_s), profiles)
    return _reported(kept, march, wanted_s)


def _march(
    pieces: Pieces,
    places: Places,
    positions: Floats,
    own_heat: OwnHeat | None,
    growth: Growth | None,
    steps: Steps,
    mesh: object,
) -> March:
    import numpy as np

    from smallhours.science.heat_path import stepping

    power = pieces.dimensions()
    flow, face = _factors(growth, steps.at_s, power)
    density = np.asarray(pieces.density_kg_per_m3)
    return stepping.March(
        mesh=mesh,  # type: ignore[arg-type]
        steps=steps,
        start_c=_start(np.asarray(pieces.start_c), positions),
        heat_capacity_j_per_m3_k=density * np.asarray(pieces.specific_heat_j_per_g_k) * 1000.0,
        density_kg_per_m3=density,
        conductivity_w_per_m_k=np.asarray(pieces.conductivity_w_per_m_k),
        slab_factor=(power == 1.0).astype(np.float64),
        edges_s=np.asarray(places.edges_s),
        ambient_c=np.asarray(places.ambient_c),
        ambient_end_c=np.asarray(places.ambient_end_c),
        outside_w_per_m2_k=np.asarray(places.outside_w_per_m2_k),
        underside_w_per_m2_k=np.asarray(places.underside_w_per_m2_k),
        own_heat=own_heat,  # type: ignore[arg-type]
        flow_factor=flow,
        face_factor=face,
    )


def _reported(kept: Reported, march: March, wanted_s: Floats) -> HeatHistory:
    import numpy as np

    grams = march.mesh.volumes_m3.sum(axis=0) * march.density_kg_per_m3 * 1000.0
    return HeatHistory(
        times_s=wanted_s,
        mean_c=kept.mean_c.T.copy(),
        core_c=kept.middle_c.T.copy(),
        skin_c=kept.top_c.T.copy(),
        underside_c=kept.bottom_c.T.copy(),
        taken_up_j_per_g=(kept.inflow_j / grams).T.copy(),
        own_heat_j_per_g=(kept.own_j / grams).T.copy(),
        profiles_c=None if kept.nodes_c is None else np.ascontiguousarray(kept.nodes_c.transpose(2, 0, 1)),
        positions_fraction=(march.mesh.x_m / march.mesh.x_m[-1]).T.copy(),
        weights_fraction=(march.mesh.volumes_m3 / march.mesh.volumes_m3.sum(axis=0)).T.copy(),
    )


def _start(start: Floats, positions: Floats) -> Floats:
    """Start temperatures at the nodes, ``(nodes, pieces)``."""
    import numpy as np

    if start.shape[1] == 1:
        return np.repeat(start.T, len(positions), axis=0)
    given = np.linspace(0.0, 1.0, start.shape[1])
    return np.stack([np.interp(x, given, row) for x, row in zip(positions.T, start, strict=True)], axis=1)


def _factors(growth: Growth | None, at_s: Floats, power: Floats) -> tuple[Floats | None, Floats | None]:
    """Factors on the conductances inside and on the outer area, at the middle of every step."""
    import numpy as np

    if growth is None:
        return None, None
    middle = (at_s[1:] + at_s[:-1]) / 2.0
    times = np.asarray(growth.times_s)

    def along(values: Floats) -> Floats:
        if values.shape[1] == 1:
            return np.interp(middle, times, values[:, 0])
        return np.stack([np.interp(middle[:, i], times, values[:, i]) for i in range(middle.shape[1])], axis=1)

    size, spread = along(np.asarray(growth.size_factor)), along(np.asarray(growth.spread_factor))
    face = size ** (power - 1.0) * spread
    return face / size * along(np.asarray(growth.conductivity_factor)), face


def _wanted(places: Places, times_s: ArrayLike | None) -> Floats:
    import numpy as np

    edges = np.asarray(places.edges_s)
    begin, end = float(edges[0].max()), float(edges[-1].min())
    if times_s is None:
        if not begin < end:
            raise BadInput("the paths of the pieces have no time in common: say which times are wanted")
        return np.linspace(begin, end, _REPORTS)
    wanted = np.atleast_1d(checked_all(times_s, "a wanted time", -1e12, 1e12, "s"))
    if wanted.ndim != 1 or not wanted.size or not (np.diff(wanted) > 0.0).all():
        raise BadInput("the wanted times must be one row that rises")
    if wanted[0] < begin or wanted[-1] > end:
        outside = wanted[0] if wanted[0] < begin else wanted[-1]
        raise OutOfRange(f"a wanted time must lie within the path, from {begin:g} to {end:g} s (found {outside:g})")
    return wanted


def _aligned(pieces: Pieces, places: Places, growth: Growth | None) -> tuple[Pieces, Places, Growth | None]:
    """The same number of pieces everywhere."""
    import numpy as np

    widths = {"pieces": pieces.pieces_count}
    for name in ("edges_s", "ambient_c", "ambient_end_c", "outside_w_per_m2_k", "underside_w_per_m2_k"):
        widths[name] = np.asarray(getattr(places, name)).shape[1]
    if growth is not None:
        for name in ("size_factor", "spread_factor", "conductivity_factor"):
            widths[name] = np.asarray(getattr(growth, name)).shape[1]
    count = max(widths.values())
    for name, width in widths.items():
        if width not in (1, count):
            raise BadInput(f"{name} must be for one piece or for {count} (found {width})")
    if pieces.pieces_count != count:
        pieces = _pieces_of(pieces, slice(None), count)
    if growth is not None and 3.0 in pieces.dimensions():
        spread = np.broadcast_to(np.asarray(growth.spread_factor), (len(np.asarray(growth.times_s)), count))
        checked_all(spread[:, pieces.dimensions() == 3.0], "the spread factor of a sphere", 1.0, 1.0, "times")
    return pieces, places, growth


def _pieces_of(pieces: Pieces, block: slice, count: int | None = None) -> Pieces:
    import numpy as np

    def part(values: ArrayLike) -> Floats:
        array = np.asarray(values)
        return np.repeat(array, count, axis=0) if count else array[block]

    return Pieces(
        tuple(pieces.shape) * (count or 1) if count else pieces.shape[block],  # type: ignore[arg-type]
        part(pieces.size_mm),
        part(pieces.start_c),
        part(pieces.density_kg_per_m3),
        part(pieces.specific_heat_j_per_g_k),
        part(pieces.conductivity_w_per_m_k),
    )


def _places_of(places: Places, block: slice) -> Places:
    return Places(
        _part(places.edges_s, block),
        _part(places.ambient_c, block),
        _part(places.outside_w_per_m2_k, block),
        _part(places.underside_w_per_m2_k, block),
        _part(places.ambient_end_c, block),
    )


def _growth_of(growth: Growth, block: slice) -> Growth:
    return Growth(
        growth.times_s,
        _part(growth.size_factor, block),
        _part(growth.spread_factor, block),
        _part(growth.conductivity_factor, block),
    )


def _part(values: ArrayLike | None, block: slice) -> Floats:
    import numpy as np

    array = np.asarray(values, dtype=np.float64)
    return array if array.shape[1] == 1 else array[:, block]


def _of_block(own_heat: OwnHeat, block: slice, count: int) -> OwnHeat:
    """The same callback for some of the pieces; one that is given arrays for all pieces still sees all of them."""
    import numpy as np

    if count <= _BLOCK:
        return own_heat

    def of_block(temps_c: Floats, at_s: Floats) -> Floats:
        whole, instants = np.zeros((len(temps_c), count)), np.zeros(count)
        whole[:, block], instants[block] = temps_c, at_s
        found: Floats = np.broadcast_to(np.asarray(own_heat(whole, instants), dtype=np.float64), whole.shape)[:, block]
        return found

    return of_block
