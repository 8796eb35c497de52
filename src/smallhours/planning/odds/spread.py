"""How far a night may be from its plan: what each stage will need, and how slow the hands are.

The forecast gives each living or chilling stage an 80 % interval around the length wanted; the length needed is drawn
log-normal on each side, so that one night in ten is below the interval and one above. Its error is not drawn for each
stage alone: a kitchen colder than thought slows every dough, a weak yeast every stage of its own dough.
"""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.bakery.process.habits import LIVING
from smallhours.errors import BadInput
from smallhours.planning.odds.document import Assumed
from smallhours.planning.plan import PlanTask, Window

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Z80 = 1.2815515655446004  # standard normal quantile of 0.9: the ends of an 80 % interval


@dataclass(frozen=True)
class Spread:
    """What nights are drawn from.

    ``scale``: times the forecast's own interval (0: every stage needs what is wanted). ``night_share``: the share of a
    stage's variance that all doughs of a night have in common (all living stages one, all chilling stages another: a
    warm kitchen hastens the first and not the second); ``dough_share``: what all stages of one batch and its lots have
    in common besides; the rest is each stage's own. ``hands_slow``: by how much hands are slower than planned in the
    middle of all nights (0.05: 5 %); ``hands_log_sd``: standard deviation of the logarithm of a hands-on length;
    ``person_share``: the share of its variance that all work of one person in one night has in common.

    Judgement: the shares 0.4 and 0.4 (flour, yeast and a room's temperature matter more than what one stage has for
    itself), 5 % slow and 15 % spread for hands (common practice: times written down are good days' times).
    Raises: BadInput for what is no share or negative.
    """

    scale: float = 1.0
    night_share: float = 0.4
    dough_share: float = 0.4
    hands_slow: float = 0.05
    hands_log_sd: float = 0.15
    person_share: float = 0.5

    def __post_init__(self) -> None:
        for name in ("scale", "hands_slow", "hands_log_sd"):
            if not 0 <= getattr(self, name) < math.inf:
                raise BadInput(f"the spread's {name} must be 0 or more (found {getattr(self, name):g})")
        for name in ("night_share", "dough_share", "person_share"):
            if not 0 <= getattr(self, name) <= 1:
                raise BadInput(f"the spread's {name} must be from 0 to 1 (found {getattr(self, name):g})")
        if self.night_share + self.dough_share > 1 + 1e-9:
            raise BadInput(
                f"the spread's night_share and dough_share must not come to more than 1 together "
                f"(found {self.night_share:g} and {self.dough_share:g})"
            )

    def assumed(self) -> Assumed:
        """The same, as the document tells it."""
        return Assumed(
            scale=self.scale, night_share=self.night_share, dough_share=self.dough_share,
            hands_slow=self.hands_slow, hands_log_sd=self.hands_log_sd, person_share=self.person_share,
        )  # fmt: skip


NO_SPREAD = Spread(scale=0.0, hands_slow=0.0, hands_log_sd=0.0)


def log_sds(window: Window) -> tuple[float, float]:
    """Standard deviations of the logarithm of the length needed, below and above the one wanted; 0 if none is forecast.

    >>> below, above = log_sds(Window(min_s=2400, preferred_s=3600, max_s=6000, low_s=3000, high_s=4320))
    >>> round(3600 * math.exp(-Z80 * below)), round(3600 * math.exp(Z80 * above))
    (3000, 4320)
    """
    if window.low_s is None or window.high_s is None or window.low_s <= 0 or window.preferred_s <= 0:
        return 0.0, 0.0
    below = max(0.0, math.log(window.preferred_s / window.low_s)) / Z80
    above = max(0.0, math.log(window.high_s / window.preferred_s)) / Z80
    return below, above


class Draws:
    """The factors of every task in every night: rows are nights.

    What is drawn depends only on the seed, the number of nights and each task's own words, never on the order or
    number of other tasks: two plans of one night meet the same nights.
    """

    def __init__(self, nights: int, seed: int, spread: Spread) -> None:
        self.nights, self.seed, self.spread = nights, seed, spread
        self._drawn: dict[str, NDArray[np.float64]] = {}

    def needed(self, task: PlanTask) -> NDArray[np.float64] | None:
        """The length a task needs over the length wanted, per night; None where nothing varies.

        Shape (nights,), above 0.
        """
        import numpy as np

        below, above = log_sds(task.window)
        if self.spread.scale == 0 or below == above == 0:
            return None
        shares = self.spread.night_share, self.spread.dough_share
        own = max(0.0, 1.0 - sum(shares))
        common = "night:kitchen" if task.kind in LIVING else "night:cold"
        z = (
            math.sqrt(shares[0]) * self._normal(common)
            + math.sqrt(shares[1]) * self._normal(f"dough:{common}:{task.batch}")
            + math.sqrt(own) * self._normal(f"stage:{task.id}")
        )
        return np.exp(self.spread.scale * np.where(z < 0, below, above) * z)

    def slow(self, person: str, task_id: str) -> NDArray[np.float64] | None:
        """How long hands need over how long was planned, per night; None where nothing varies. Shape (nights,)."""
        import numpy as np

        spread = self.spread
        if spread.hands_slow == spread.hands_log_sd == 0:
            return None
        z = math.sqrt(spread.person_share) * self._normal(f"person:{person}")
        z = z + math.sqrt(1.0 - spread.person_share) * self._normal(f"hands:{task_id}")
        return np.exp(spread.hands_log_sd * z) * (1.0 + spread.hands_slow)

    def _normal(self, name: str) -> NDArray[np.float64]:
        import numpy as np

        if name not in self._drawn:
            own = int.from_bytes(hashlib.blake2b(name.encode("utf-8"), digest_size=8).digest(), "big")
            self._drawn[name] = np.random.default_rng([self.seed, own]).standard_normal(self.nights)
        return self._drawn[name]
