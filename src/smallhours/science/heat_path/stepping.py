"""The steps themselves: implicit finite volumes, second order in time, all pieces at once.

Each step has two stages with one matrix (Alexander 1977: L-stable, stiffly accurate, weights 1 - g and g, with
g = 1 - 1/sqrt(2)), so it neither rings after a jump nor loses heat: what the stages let through the faces is what the
nodes gain. The matrix is symmetric and has three diagonals; it is factored and solved row by row, a row being one node
of every piece.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from smallhours.science.heat_path.grid import Mesh, Steps

Floats = NDArray[np.float64]
_GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
_CARRY = (1.0 - _GAMMA) / _GAMMA
# rows of the two ends in the order of ``_inwards``
_BOTTOM, _TOP = 0, 1
_ROWS = ("mean_c", "bottom_c", "middle_c", "top_c", "inflow_j", "own_j")


@dataclass(frozen=True)
class March:
    """All that the steps need, as arrays whose last axis is the piece (some ``(rows, 1)``).

    ``own_heat``: (temperatures, instant) -> W/kg at every node. ``slab_factor``: 1 for a slab, 0 for others.
    ``flow_factor``, ``face_factor``: on the conductances inside and on the outer area at the middle of every step, None
    for pieces that do not grow.
    """

    mesh: Mesh
    steps: Steps
    start_c: Floats
    heat_capacity_j_per_m3_k: Floats
    density_kg_per_m3: Floats
    conductivity_w_per_m_k: Floats
    slab_factor: Floats
    edges_s: Floats
    ambient_c: Floats
    ambient_end_c: Floats
    outside_w_per_m2_k: Floats
    underside_w_per_m2_k: Floats
    own_heat: Callable[[Floats, Floats], Floats] | None
    flow_factor: Floats | None
    face_factor: Floats | None


@dataclass(frozen=True)
class Reported:
    """At every wanted time: nodes ``(times, nodes, pieces)`` or None, and means, ``(times, pieces)``.

    ``inflow_j`` and ``own_j`` are heat per mesh unit since the begin, joules.
    """

    nodes_c: Floats | None
    mean_c: Floats
    bottom_c: Floats
    middle_c: Floats
    top_c: Floats
    inflow_j: Floats
    own_j: Floats


def _inwards(rows: int) -> NDArray[np.intp]:
    """The order in which nodes or the faces between them are kept: both ends, then their neighbours, a middle last."""
    outermost = np.minimum(np.arange(rows), np.arange(rows)[::-1])
    return np.argsort(outermost, kind="stable")


class _Matrix:
    """Symmetric with three diagonals, one for every piece: L D L', factored in place from both ends to the middle.

    Rows are nodes in the order of ``_inwards``, so that a step inwards from both ends is one operation on two rows.
    """

    def __init__(self, shape: tuple[int, int]) -> None:
        nodes, pieces = shape
        self._pairs = (nodes // 2, 2 * pieces)
        self.diagonal = np.empty(shape)
        self.beside = np.empty((nodes - 1, pieces))
        self._lower = np.empty_like(self.beside)
        self._inverse = np.empty(shape)
        self._spare = np.empty(2 * pieces)
        self._halves = self._spare.reshape(2, pieces)
        self._beside, self._lowers = list(self._paired(self.beside)), list(self._paired(self._lower))

    def factor(self) -> None:
        """``beside`` holds what couples a node to the next one inwards, positive (the matrix has it negative)."""
        spare, rows = self._spare, list(self._paired(self.diagonal[:-1]))
        for beside, lower, here, there in zip(self._beside, self._lowers, rows, [*rows[1:], None], strict=True):
            np.divide(beside, here, out=lower)
            np.multiply(beside, lower, out=spare)
            if there is not None:
                np.subtract(there, spare, out=there)
        self.diagonal[-1] -= self._halves[0]
        self.diagonal[-1] -= self._halves[1]
        np.reciprocal(self.diagonal, out=self._inverse)

    def solve(self, right: Floats) -> None:
        """Replace the right-hand side by the solution."""
        spare, lowers, rows, middle = self._spare, self._lowers, list(self._paired(right[:-1])), right[-1]
        for index in range(len(rows) - 1):
            np.multiply(lowers[index], rows[index], out=spare)
            np.add(rows[index + 1], spare, out=rows[index + 1])
        np.multiply(lowers[-1], rows[-1], out=spare)
        middle += self._halves[0]
        middle += self._halves[1]
        np.multiply(right, self._inverse, out=right)
        np.multiply(lowers[-1].reshape(2, -1), middle, out=self._halves)
        np.add(rows[-1], spare, out=rows[-1])
        for index in range(len(rows) - 2, -1, -1):
            np.multiply(lowers[index], rows[index + 1], out=spare)
            np.add(rows[index], spare, out=rows[index])

    def _paired(self, rows: Floats) -> Floats:
        return rows.reshape(self._pairs)


class _Surroundings:
    """What a step sees of its place: looked up again only when some piece has entered another spell."""

    def __init__(self, march: March) -> None:
        self.march = march
        self._spell: NDArray[np.intp] | None = None

    def enter(self, spell: NDArray[np.intp]) -> None:
        if self._spell is not None and np.array_equal(spell, self._spell):
            return
        self._spell = spell
        m = self.march
        begin, end = self._of(m.edges_s, spell), self._of(m.edges_s, spell + 1)
        self._begin_s, self._from = begin, self._of(m.ambient_c, spell)
        lasts = end - begin
        change = self._of(m.ambient_end_c, spell) - self._from
        self._per_s = np.divide(change, lasts, out=np.zeros_like(change), where=lasts > 0.0)
        self.outside = self._of(m.outside_w_per_m2_k, spell) * m.mesh.outer_m2
        self.underside = np.where(m.slab_factor > 0.0, self._of(m.underside_w_per_m2_k, spell), 0.0)

    def air_c(self, at_s: Floats) -> Floats:
        found: Floats = self._from + self._per_s * (at_s - self._begin_s)
        return found

    def _of(self, table: Floats, spell: NDArray[np.intp]) -> Floats:
        found: Floats = np.take_along_axis(table, spell[None, :], axis=0)[0] if table.shape[1] > 1 else table[spell, 0]
        return found


def run(march: March, wanted_count: int, keep_nodes: bool) -> Reported:
    """Step through all instants and keep the temperatures [°C] and heat [J] that were wanted.

    Source: two implicit stages, Alexander (1977), SIAM J. Numer. Anal. 14:1006.
    """
    steps = march.steps
    temps = march.start_c[_inwards(len(march.start_c))]
    keeper = _Keeper(march, wanted_count, keep_nodes)
    state = _Stepper(march)
    keeper.keep(0, temps, state)
    last = len(steps.at_s) - 1
    lengths = np.diff(steps.at_s, axis=0)
    busy = (lengths > 0.0).sum(axis=1)
    for index in range(last):
        if busy[index]:
            temps = state.step(index, temps, lengths[index])
        keeper.keep(index + 1, temps, state)
    return keeper.reported()


class _Stepper:
    """One step after another, with the heat that passed the faces and was made inside."""

    def __init__(self, march: March) -> None:
        self.march = march
        nodes, pieces = march.mesh.x_m.shape
        self._order = _inwards(nodes)
        volumes = march.mesh.volumes_m3[self._order]
        self.heat = volumes * march.heat_capacity_j_per_m3_k
        self.mass = volumes * march.density_kg_per_m3
        self.inflow, self.own = np.zeros(pieces), np.zeros(pieces)
        faces = march.mesh.faces_m * march.conductivity_w_per_m_k
        both = np.zeros((nodes, pieces))
        both[:-1] += faces
        both[1:] += faces
        # what couples a node to the next one inwards, and to both its neighbours
        self._faces, self._both = faces[_inwards(len(faces))], both[self._order]
        self._matrix = _Matrix((nodes, pieces))
        self._place = _Surroundings(march)
        self._stage, self._right = np.empty((nodes, pieces)), np.empty((nodes, pieces))
        self._spare_temps = np.empty((nodes, pieces))
        self._rate: Floats | None = None
        self._rate_s: Floats | None = None

    def step(self, index: int, temps: Floats, lasts: Floats) -> Floats:
        """The temperatures after a step; ``temps`` may be overwritten by the step after."""
        m, place, matrix = self.march, self._place, self._matrix
        at = m.steps.at_s[index]
        place.enter(m.steps.spell_number[index])
        implicit = _GAMMA * lasts
        outside, underside = place.outside, place.underside
        along = implicit
        if m.flow_factor is not None and m.face_factor is not None:
            along = implicit * m.flow_factor[index]
            outside, underside = outside * m.face_factor[index], underside * m.face_factor[index]
        np.multiply(self._faces, along, out=matrix.beside)
        np.multiply(self._both, along, out=matrix.diagonal)
        matrix.diagonal += self.heat
        top, bottom = outside * implicit, underside * implicit
        matrix.diagonal[_TOP] += top
        matrix.diagonal[_BOTTOM] += bottom
        matrix.factor()
        made = self._made(temps, at, lasts)

        first, air = self._stage, place.air_c(at + implicit)
        np.multiply(self.heat, temps, out=first)
        self._solve(first, top * air, bottom * air, made, implicit)
        inflow = (1.0 - _GAMMA) * (outside * (air - first[_TOP]) + underside * (air - first[_BOTTOM]))

        second, air = self._spare_temps, place.air_c(at + lasts)
        np.subtract(first, temps, out=second)
        second *= _CARRY
        second += temps
        second *= self.heat
        self._solve(second, top * air, bottom * air, made, implicit)
        inflow += _GAMMA * (outside * (air - second[_TOP]) + underside * (air - second[_BOTTOM]))

        self.inflow += inflow * lasts
        if made is not None:
            self.own += made.sum(axis=0) * lasts
        self._spare_temps = temps
        return second

    def _solve(self, right: Floats, top: Floats, bottom: Floats, made: Floats | None, implicit: Floats) -> None:
        if made is not None:
            np.multiply(made, implicit, out=self._right)
            right += self._right
        right[_TOP] += top
        right[_BOTTOM] += bottom
        self._matrix.solve(right)

    def _made(self, temps: Floats, at: Floats, lasts: Floats) -> Floats | None:
        """Heat made in every node per second at the middle of the step, carried on from the last one (second order)."""
        if self.march.own_heat is None:
            return None
        rate = np.broadcast_to(np.asarray(self.march.own_heat(temps, at), dtype=np.float64), temps.shape) * self.mass
        before, when = self._rate, self._rate_s
        self._rate, self._rate_s = rate, at
        if before is None or when is None:
            return rate
        gap = at - when
        ahead = np.divide(lasts / 2.0, gap, out=np.zeros_like(gap), where=gap > 0.0)
        # after a short step the slope is not worth much: carry it no further than one step
        return rate + (rate - before) * np.minimum(ahead, 1.0)


class _Keeper:
    """Keeps what is wanted at the wanted times."""

    def __init__(self, march: March, wanted: int, keep_nodes: bool) -> None:
        self.march = march
        nodes, pieces = march.mesh.x_m.shape
        self._wanted = (march.steps.report_number >= 0).sum(axis=1)
        self._nodes = np.empty((wanted, nodes, pieces)) if keep_nodes else None
        self._rows = {n: np.empty((wanted, pieces)) for n in _ROWS}
        order = _inwards(nodes)
        self._outwards = np.argsort(order)
        self._shares = (march.mesh.volumes_m3 / march.mesh.volumes_m3.sum(axis=0))[order]
        self._slab = march.slab_factor > 0.0

    def keep(self, index: int, temps: Floats, state: _Stepper) -> None:
        if not self._wanted[index]:
            return
        report = self.march.steps.report_number[index]
        pieces = np.flatnonzero(report >= 0)
        row = report[pieces]
        seen = {
            "mean_c": np.einsum("ij,ij->j", self._shares, temps),
            "bottom_c": np.where(self._slab, temps[_BOTTOM], temps[_TOP]),
            "middle_c": np.where(self._slab, temps[-1], temps[_BOTTOM]),
            "top_c": temps[_TOP],
            "inflow_j": state.inflow,
            "own_j": state.own,
        }
        for name, values in seen.items():
            self._rows[name][row, pieces] = values[pieces]
        if self._nodes is not None:
            self._nodes[row, :, pieces] = temps[self._outwards][:, pieces].T

    def reported(self) -> Reported:
        return Reported(self._nodes, **self._rows)
