"""Where and when the solver looks: nodes close together at the surface, short steps after every change of place.

Right after a change the surface moves with the square root of time and only a thin skin has noticed. Steps therefore
begin as short, and the nodes at the surface as close, as a tolerance in kelvins demands, and widen from there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from smallhours.science.heat_path.pieces import Pieces
from smallhours.science.heat_path.places import Places

Floats = NDArray[np.float64]
# what the first step may warm the surface, and the first cell may hide, in tolerances; found against the exact series
_FIRST_STEP_OF_TOLERANCE = 12.0
_FIRST_CELL_OF_TOLERANCE = 4.0
_CLOSEST_CELL_FRACTION = 4e-4
_LONGEST_FIRST_STEP_OF_TAU = 0.1
_BETA = np.asarray([3.0, 4.0, 5.0])


@dataclass(frozen=True)
class Mesh:
    """Nodes of all pieces, ``(nodes, pieces)``, from the underside (slab) or middle to the outside, per unit of face.

    ``x_m`` where they are, ``volumes_m3`` what they stand for, ``faces_m`` the area between neighbours over their
    distance (one row less), ``outer_m2`` the outer area. All at the start, of a slab for each square metre, of a
    cylinder for each metre and radian, of a sphere for each steradian.
    """

    x_m: Floats
    volumes_m3: Floats
    faces_m: Floats
    outer_m2: Floats


@dataclass(frozen=True)
class Steps:
    """The instants of all pieces, ``(steps + 1, pieces)``, with the spell that begins or goes on at each.

    ``report_number``: which of the wanted times an instant is, -1 for none.
    """

    at_s: Floats
    spell_number: NDArray[np.intp]
    report_number: NDArray[np.intp]


def flux_jumps(pieces: Pieces, places: Places) -> Floats:
    """By how much the heat through a face may change at the begin of each spell, ``(spells, pieces)`` [W/m²].

    Source: definition of heat transfer; bounds, for the surface may be as warm as any place so far.
    """
    start = np.asarray(pieces.start_c)
    begin, end = np.asarray(places.ambient_c), np.asarray(places.ambient_end_c)
    spells = len(np.asarray(places.edges_s)) - 1
    shape = (spells, pieces.pieces_count)
    low = np.minimum(np.minimum.accumulate(np.minimum(begin, end), axis=0), start.min(axis=1))
    high = np.maximum(np.maximum.accumulate(np.maximum(begin, end), axis=0), start.max(axis=1))
    jumps = np.zeros(shape)
    for transfer in (np.asarray(places.outside_w_per_m2_k), np.asarray(places.underside_w_per_m2_k)):
        before, came_from = np.zeros_like(transfer), np.zeros_like(end)
        before[1:], came_from[1:] = transfer[:-1], end[:-1]
        for skin in (low, high):
            jumps = np.maximum(jumps, np.abs(transfer * (begin - skin) - before * (came_from - skin)))
    return np.ascontiguousarray(np.broadcast_to(jumps, shape))


def mesh_of(pieces: Pieces, jumps_w_per_m2: Floats, cells_count: int, tolerance_k: float) -> Mesh:
    """Nodes for all pieces; slabs are refined at both faces, others at the outside [m].

    Source: none: a choice, checked against the exact series.
    """
    size = np.asarray(pieces.size_mm) / 1000.0
    power = pieces.dimensions()
    slab = power == 1.0
    worst = np.maximum(jumps_w_per_m2.max(axis=0), 1e-9)
    first = _FIRST_CELL_OF_TOLERANCE * tolerance_k * np.asarray(pieces.conductivity_w_per_m_k) / worst
    # of a slab each half is mapped like a radius
    half = np.where(slab, size / 2.0, size)
    steps = np.where(slab, cells_count / 2.0, float(cells_count))
    stretch = _stretch(np.clip(first / half, _CLOSEST_CELL_FRACTION, None), steps)
    share = np.arange(cells_count + 1)[:, None] / cells_count
    along = np.where(slab, 2.0 * share - 1.0, share)
    mapped = _from_middle(along, stretch)
    x = np.where(slab, size / 2.0 * (1.0 + mapped), size * mapped)
    x[0], x[-1] = 0.0, size
    edges = np.concatenate([np.zeros((1, len(size))), (x[1:] + x[:-1]) / 2.0, size[None, :]])
    volumes = np.diff(edges**power, axis=0) / power
    faces = edges[1:-1] ** (power - 1.0) / np.diff(x, axis=0)
    return Mesh(x, volumes, faces, size ** (power - 1.0))


def _from_middle(along: Floats, stretch: Floats) -> Floats:
    """From -1..1 evenly to -1..1 closer together at the ends: odd, smooth, its slope falling outwards."""
    found: Floats = np.tanh(stretch * along) / np.tanh(stretch)
    return found


def _stretch(first: Floats, steps: Floats) -> Floats:
    """How strongly to stretch so that the outermost of ``steps`` cells is ``first`` of the whole, by bisection."""
    low, high = np.full(first.shape, 1e-3), np.full(first.shape, 8.0)
    for _ in range(40):
        middle = (low + high) / 2.0
        wide = 1.0 - _from_middle(1.0 - 1.0 / steps, middle) > first
        low, high = np.where(wide, middle, low), np.where(wide, high, middle)
    found: Floats = (low + high) / 2.0
    return found


def steps_of(
    pieces: Pieces,
    places: Places,
    jumps_w_per_m2: Floats,
    wanted_s: Floats,
    between_s: Floats,
    growth_ratio: float,
    tolerance_k: float,
) -> Steps:
    """Instants at which every piece is computed: growing steps in each spell, and the wanted times between them.

    Each spell gets as many steps as its most demanding piece needs, so that all pieces step together, each at its own
    instants [s].

    Source: none: a choice, checked against the exact series.
    """
    count = pieces.pieces_count
    edges = np.asarray(places.edges_s)
    durations = np.diff(edges, axis=0)
    first = _first_steps_s(pieces, places, jumps_w_per_m2, tolerance_k)
    with np.errstate(divide="ignore"):
        needed = np.log1p(durations * (growth_ratio - 1.0) / first) / np.log(growth_ratio)
    grown = np.ceil(needed.max(axis=1)).astype(int)
    parts, spells = [], []
    for number, steps in enumerate(np.maximum(grown, 1)):
        shares = (growth_ratio ** np.arange(steps) - 1.0) / (growth_ratio**steps - 1.0)
        parts.append(edges[number] + durations[number] * shares[:, None])
        spells.append(np.full(steps, number))
    own = np.concatenate([*(np.broadcast_to(p, (len(p), count)) for p in parts), _full(edges[-1:], count)])
    spell = np.concatenate([*spells, [len(durations) - 1]])
    extra = np.concatenate([wanted_s, between_s])
    at = np.concatenate([own, np.repeat(extra[:, None], count, axis=1)])
    marks = np.concatenate([spell, np.zeros(len(extra), dtype=int)])
    report = np.concatenate([np.full(len(own), -1), np.arange(len(wanted_s)), np.full(len(between_s), -1)])
    order = np.argsort(at, axis=0, kind="stable")
    return Steps(
        np.take_along_axis(at, order, axis=0),
        np.maximum.accumulate(marks[order], axis=0),
        report[order].astype(np.intp),
    )


def _full(row: Floats, count: int) -> Floats:
    return np.broadcast_to(row, (1, count))


def _first_steps_s(pieces: Pieces, places: Places, jumps_w_per_m2: Floats, tolerance_k: float) -> Floats:
    """How long the first step of each spell may be, ``(spells, pieces)``."""
    inner = np.asarray(pieces.conductivity_w_per_m_k)
    heat = np.asarray(pieces.density_kg_per_m3) * np.asarray(pieces.specific_heat_j_per_g_k) * 1000.0
    size = np.asarray(pieces.size_mm) / 1000.0
    power = pieces.dimensions()
    # a face under a steady flux J warms by 2 J sqrt(t / (pi k rho c)): Carslaw & Jaeger 2.9
    allowed = _FIRST_STEP_OF_TOLERANCE * tolerance_k
    by_skin = np.pi / 4.0 * inner * heat * (allowed / np.maximum(jumps_w_per_m2, 1e-9)) ** 2
    outer = np.asarray(places.outside_w_per_m2_k) + np.where(power == 1.0, np.asarray(places.underside_w_per_m2_k), 0.0)
    with np.errstate(divide="ignore"):
        by_piece = heat * size / power * (1.0 / outer + size / (_BETA[power.astype(int) - 1] * inner))
    found: Floats = np.minimum(by_skin, _LONGEST_FIRST_STEP_OF_TAU * by_piece)
    return found
