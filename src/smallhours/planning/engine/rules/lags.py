"""How far apart instants of tasks lie."""

from __future__ import annotations

from smallhours.planning.engine.model import Model


def lags(model: Model) -> None:
    """The later instant of a lag comes at least ``lo`` and at most ``hi`` ticks after the earlier one."""
    for lag in model.problem.lags:
        before = (model.starts if lag.before_side == "start" else model.ends)[lag.before]
        after = (model.starts if lag.after_side == "start" else model.ends)[lag.after]
        if lag.hi is None:
            model.cp.add(after >= before + lag.lo)
        elif lag.hi == lag.lo:
            model.cp.add(after == before + lag.lo)
        else:
            model.cp.add_linear_constraint(after - before, lag.lo, lag.hi)
