"""What a forecast is unsure of, drawn many times: each member is one kitchen that could be this one.

The draws depend only on their number and the seed, never on what is forecast, so that what is logged later can weigh
the very same members anew. Each parameter's draws are the middles of equally likely strata in an order of its own, and
the first member has every parameter in its middle: a result that depends on one parameter has exactly its middle value
as median.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist
from typing import TYPE_CHECKING, Literal

from smallhours.errors import BadInput
from smallhours.forecast.assumed import ASSUMED
from smallhours.forecast.estimate import Estimate
from smallhours.reference.bake_defaults import mass_loss_percent
from smallhours.reference.fermentation import (
    cold_curve,
    cold_slope_per_k,
    culture_cold_slope_per_k,
    culture_doubling_h,
    yeast_strength,
)
from smallhours.science.ranges import checked

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FEWEST, MOST = 20, 20_000
LOW, MIDDLE, HIGH = 0.1, 0.5, 0.9


@dataclass(frozen=True)
class Prior:
    """One thing a forecast is unsure of.

    ``middle``, ``spread``: median and standard deviation, of the logarithm on the scale ``log``. ``least``, ``most``:
    draws beyond are moved there. ``words``: what it is called in a sentence; ``source``: what the spread rests on.
    """

    name: str
    words: str
    middle: float
    spread: float
    scale: Literal["log", "plain"]
    least: float
    most: float
    source: str


@cache
def priors() -> tuple[Prior, ...]:
    """Everything that is drawn, in the order of the draws. A surface is drawn in standard deviations of its place."""
    cold, yeast, min_c = cold_slope_per_k(), yeast_strength(), float(str(cold_curve().min_c))
    dose, dose_sd = yeast.dose_exponent, yeast.dose_exponent_sd
    return (
        Prior("vigour", "how lively this dough is", 1.0, ASSUMED.ferment_log_sd, "log", 0.2, 5.0, "judgement"),
        Prior("cold_slope", "how yeast slows down in the cold", cold.median, cold.log_sd, "log", 0.0, 0.2, cold.source),
        Prior("yeast_min", "where yeast stops in the cold", min_c, 1.0, "plain", -5.0, 2.0, "sets lie 4 K apart"),
        Prior("chill", "how fast cold goes in", 1.0, ASSUMED.chill_log_sd, "log", 0.3, 3.0, "judgement"),
        Prior("room_surface", "the air around it in the room", 0.0, 1.0, "plain", -3.0, 3.0, "table heat_transfer"),
        Prior("cold_surface", "the air around it in the cold", 0.0, 1.0, "plain", -3.0, 3.0, "table heat_transfer"),
        Prior("conductivity", "how well the dough conducts", 1.0, 0.15, "log", 0.5, 2.0, "scatter of 15 to 20 %"),
        Prior("thickness", "how thick the pieces really are", 1.0, 0.05, "log", 0.7, 1.4, "judgement"),
        Prior("own_heat", "how much it warms itself", 1.0, 0.30, "log", 0.2, 3.0, "judgement"),
        Prior("dose", "how speed follows the dose", dose, dose_sd, "plain", 0.6, 1.1, "table yeast_strength"),
        Prior("bake", "how bake time follows the size", 1.8, 0.15, "plain", 1.2, 2.0, "judgement: 2 if thick"),
        Prior("door", "how much warm air a door lets in", 0.4, 0.5, "log", 0.05, 1.0, "judgement"),
        Prior("whole_grain", "how much water whole grain takes", 1.75, 0.20, "plain", 1.0, 2.5, "judgement"),
        Prior("oven", "how the oven bakes that day", 1.0, ASSUMED.bake_log_sd, "log", 0.6, 1.6, "a logged bake: 10 %"),
        Prior("crumb", "how well hot crumb conducts", 0.0, 1.0, "plain", -3.0, 3.0, "table baking_dough"),
        Prior("crust", "how hot the crust gets", 0.6, 0.1, "plain", 0.3, 0.9, "trade: crusts of 150 to 180 °C"),
        Prior("bake_loss", "how much it loses in the oven", 0.0, ASSUMED.loss_sd, "plain", -8.0, 8.0, "judgement"),
        Prior("loss_power", "how loss follows the time", 1.0, 0.3, "plain", 0.5, 1.8, "0.5 thick crust, 1.8 early"),
        Prior("butter", "how hard this butter is", 0.0, 1.0, "plain", -3.0, 3.0, "table butter_solids"),
        Prior(
            "humidity", "how damp the air is", 0.0, 1.0, "plain", -3.0, 3.0, "judgement: readings are off by 5 points"
        ),
        *_of_cultures(),
        *_of_cooling(),
    )


def _of_cultures() -> tuple[Prior, ...]:
    """What is drawn of sourdough cultures, and of what sugar and salt do to any yeast."""
    cold, doubling = culture_cold_slope_per_k(), culture_doubling_h("sourdough-dough")
    kpa, slows = yeast_strength().osmotic_scale_kpa, "how a culture slows down in the cold"
    return (
        Prior("culture_cold", slows, cold.median, cold.log_sd, "log", 0.01, 2.0, cold.source),
        Prior("culture_doubling", "how fast a culture grows", 1.0, doubling.log_sd, "log", 0.3, 3.0, doubling.source),
        Prior("osmotic", "how much sugar the yeast stands", kpa.median, kpa.log_sd, "log", 600.0, 45e3, kpa.source),
    )


def _of_cooling() -> tuple[Prior, ...]:
    """What is drawn of bread that cools: the water it loses, and how damp its crust is (in standard deviations)."""
    lost = mass_loss_percent("cooling")
    sd = math.log(lost.high / lost.low) / (2 * NormalDist().inv_cdf(HIGH))
    return (
        Prior("cooling_loss", "how much water it loses as it cools", lost.usual, sd, "log", 0.3, 4.0, lost.source),
        Prior("crust_air", "how damp the crust is", 0.0, 1.0, "plain", -2.5, 2.5, "judgement: dry 0.5 to 0.7"),
    )


@dataclass(frozen=True, eq=False)
class Ensemble:
    """Draws of every prior and the weight of each member.

    ``scores``: shape (priors, members), standard normal; ``weights``: (members,), all 1 until something is logged.
    """

    seed: int
    scores: Floats
    weights: Floats

    @property
    def members(self) -> int:
        """How many members there are."""
        return int(self.weights.size)

    def values(self, name: str) -> Floats:
        """The draws of one prior, shape (members,)."""
        import numpy as np

        index = next(i for i, prior in enumerate(priors()) if prior.name == name)
        prior, z = priors()[index], self.scores[index]
        raw = prior.middle * np.exp(prior.spread * z) if prior.scale == "log" else prior.middle + prior.spread * z
        found: Floats = np.clip(raw, prior.least, prior.most)
        return found

    def reweighed(self, weights: Floats) -> Ensemble:
        """The same draws with other weights, shape (members,). Raises BadInput for weights that cannot be."""
        import numpy as np

        if weights.shape != self.weights.shape or not np.isfinite(weights).all() or (weights < 0).any():
            raise BadInput(f"weights must be {self.members} numbers of zero or more")
        if not weights.sum() > 0:
            raise BadInput("no member has any weight left: what was logged fits none of the draws")
        return Ensemble(self.seed, self.scores, np.asarray(weights, dtype=np.float64))


@cache
def draw(members: int = 500, seed: int = 1) -> Ensemble:
    """So many members, the same for the same seed.

    Raises: OutOfRange for less than 20 or more than 20,000 members or a seed that is not 0 to 2^32 - 1.
    Source: Latin hypercube sampling (McKay et al. 1979) at the middles of the strata.
    """
    import numpy as np

    checked(members, "the number of members", FEWEST, MOST, "")
    checked(seed, "the seed", 0, 2**32 - 1, "")
    middles = [NormalDist().inv_cdf((i + 0.5) / (members - 1)) for i in range(members - 1)]
    made = np.random.default_rng(seed)
    rows = [np.concatenate(([0.0], made.permutation(middles))) for _ in priors()]
    return Ensemble(seed, np.array(rows), np.ones(members))


def quantiles(values: Floats, weights: Floats, shares: Sequence[float] = (LOW, MIDDLE, HIGH)) -> Floats:
    """Weighted quantiles along the last axis: shape (shares, ...).

    Each value stands at the middle of its own weight; between two values they run straight.
    Source: definition; with equal weights it is Hazen's.
    """
    import numpy as np

    if (weights == weights[0]).all():
        ranked = np.sort(values, axis=-1)
        number = weights.size
        at = np.clip(np.asarray(shares) * number - 0.5, 0.0, number - 1.0)
        below = np.minimum(at.astype(int), max(number - 2, 0))
        part = (at - below).reshape((-1,) + (1,) * (values.ndim - 1))
        lower, upper = (np.moveaxis(ranked[..., index], -1, 0) for index in (below, below + (number > 1)))
        plain: Floats = lower + (upper - lower) * part
        return plain
    order = np.argsort(values, axis=-1, kind="stable")
    ranked, ranked_weights = np.take_along_axis(values, order, axis=-1), weights[order]
    middles = (np.cumsum(ranked_weights, axis=-1) - ranked_weights / 2) / weights.sum()
    flat = ranked.reshape(-1, weights.size), middles.reshape(-1, weights.size)
    rows = [np.interp(shares, at, row) for row, at in zip(*flat, strict=True)]
    found: Floats = np.moveaxis(np.array(rows).reshape((*values.shape[:-1], len(shares))), -1, 0)
    return found


def estimates(rows: Mapping[str, Floats], weights: Floats) -> dict[str, Estimate]:
    """Median and 80 % interval of several results at once, each of shape (members,)."""
    import numpy as np

    if not rows:
        return {}
    low, middle, high = quantiles(np.array(list(rows.values())), weights)
    return {
        name: Estimate(float(m), float(lo), float(hi)) for name, m, lo, hi in zip(rows, middle, low, high, strict=True)
    }


def share_of(true: NDArray[np.bool_], weights: Floats) -> float:
    """The share of the members for which something is true, by weight."""
    return float(weights[true].sum() / weights.sum())


def least_known(values: Floats, ensemble: Ensemble) -> Prior | None:
    """The prior that a result follows most closely; None if it does not vary.

    Source: the largest rank correlation (Spearman), by weight.
    """
    import numpy as np

    if not values.max() > values.min():
        return None
    ranks = np.empty(values.size)
    ranks[np.argsort(values, kind="stable")] = np.arange(values.size, dtype=np.float64)
    weights = ensemble.weights / ensemble.weights.sum()
    off = (ranks - weights @ ranks) * weights
    return priors()[int(np.argmax(np.abs(ensemble.scores @ off)))]
