"""What a late order waited for: back from its last stage over whatever held each instant up.

On the way back every delay is put down to what brought it: the wait for a person or a place, counted from when all
else was there; or a dough (or hands) that took longer than the plan had left for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from smallhours.planning.odds.network import Instant, Kind, Network
from smallhours.planning.odds.run import Bound, Run

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Times = NDArray[np.float64]

_STEPS = 10_000


class Blame:
    """For every instant and night: which instant it hung on, on account of what, and how much of its delay that is."""

    def __init__(self, run: Run) -> None:
        import numpy as np

        self.run, self.net = run, run.net
        self.number = {instant: n for n, instant in enumerate(run.net.order)}
        self.causes: list[str] = [""]
        nights = len(next(iter(run.at.values()))) if run.at else 0
        shape = len(run.net.order), nights
        self.hung_on = np.full(shape, -1, dtype=np.int64)
        self.cause = np.zeros(shape, dtype=np.int64)
        self.amount = np.zeros(shape)
        for instant in run.net.order:
            self._note(instant)

    def _cause(self, name: str) -> int:
        if name not in self.causes:
            self.causes.append(name)
        return self.causes.index(name)

    def _note(self, instant: Instant) -> None:
        row = self.number[instant]
        if instant[0] == "gone":
            self._note_gone(row, instant[1])
        elif instant[0] == "free":
            self.hung_on[row] = self.number[_end_of(self.net, instant[1]), self.net.pieces[instant[1]].job]
        else:
            self._note_bounds(row, instant, self.run.bounds[instant])

    def _note_gone(self, row: int, job: int) -> None:
        import numpy as np

        at = self.run.at["gone", job]
        self.hung_on[row] = self.number["ready", job]
        for other, longest_s in self.net.held_until(job):
            held = (self.run.at["start", other] - longest_s == at) & (self.run.at["ready", job] < at)
            self.hung_on[row] = np.where(held, self.number["start", other], self.hung_on[row])

    def _note_bounds(self, row: int, instant: Instant, bounds: Sequence[Bound]) -> None:
        import numpy as np

        at = self.run.at[instant]
        open_nights = at > bounds[0].until
        if not open_nights.any():
            return
        else_there = bounds[0].until
        for bound in bounds[1:]:
            if not bound.cause or bound.extra is not None:
                else_there = np.maximum(else_there, bound.until)
        for bound in bounds[1:]:
            here = open_nights & (bound.until >= at)
            if bound.of is None or not here.any():
                continue
            open_nights = open_nights & ~here
            cause, amount = self._account(instant, bound, at, else_there)
            self.hung_on[row, here] = self.number[bound.of]
            self.cause[row, here] = self._cause(cause)
            self.amount[row, here] = np.maximum(amount[here], 0.0)

    def _account(self, instant: Instant, bound: Bound, at: Times, else_there: Times) -> tuple[str, Times]:
        job = self.net.jobs[instant[1]]
        if bound.extra is not None:
            delay = at - job.end_s - (self.run.at["start", instant[1]] - job.start_s)
            slow = bound.cause or (f"dough:{job.task.batch}" if job.task is not None else "")
            return slow, delay
        if bound.cause:
            return bound.cause, at - else_there
        return "", at * 0.0

    def back_from(self, rows: NDArray[np.int64], nights: NDArray[np.int64]) -> Times:
        """Seconds put down to each cause on the way back from instants (by number) in nights: (len(rows), causes)."""
        import numpy as np

        found = np.zeros((len(rows), len(self.causes)))
        which = np.arange(len(rows))
        at = rows
        for _ in range(_STEPS):
            going = at >= 0
            if not going.any():
                break
            which, at, nights = which[going], at[going], nights[going]
            np.add.at(found, (which, self.cause[at, nights]), self.amount[at, nights])
            at = self.hung_on[at, nights]
        return found


def _end_of(net: Network, number: int) -> Kind:
    piece = net.pieces[number]
    late = piece.side == "last" or (piece.last and piece.offset_s > 0)
    return "ready" if late else "start"
