"""How much mixing warms a dough in this kitchen's mixer."""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen, Mixer
from smallhours.bakery.process.bowl import Measured
from smallhours.errors import NotFound
from smallhours.reference.defaults import mixer_friction_k, mixer_rise_k

# A reference rise stands for a usual mix of 5 min on first and 5 min on second speed; a minute on second speed counts
# twice (common practice for the minutes, judgement for the weight).
_SECOND_SPEED_WEIGHT = 2.0
_USUAL_SPEED_MINUTES = 5.0 + _SECOND_SPEED_WEIGHT * 5.0


@dataclass(frozen=True)
class MixingHeat:
    """What mixing adds. ``rise_k``: to the dough; ``friction_k``: for the sum rule with so many ``temperatures``.

    ``known``: the rise is the kitchen's own figure, not the one for mixers of that kind.
    """

    rise_k: float
    friction_k: float
    temperatures: int
    low_s: float
    high_s: float
    known: bool


def mixing_heat(
    formula: Formula, part_id: str, kitchen: Kitchen, mixer_id: str | None, measured: Measured, temperatures: int
) -> MixingHeat:
    """How much mixing warms a part.

    Parameters: ``mixer_id``: None for by hand; ``temperatures``: terms of the sum rule, 3, or 4 with a preferment.
    First that is known: the mixer's rise per minute on each speed; its friction figure over the number of terms; what
    is usual of its kind, in proportion to the minutes.
    Raises: NotFound for a mixer that is not in the kitchen.
    Source: rise per minute and friction are learned figures; kinds from the reference table.
    """
    mixer = _mixer(kitchen, mixer_id)
    low_s, high_s = _minutes(formula, part_id, measured)
    rise_k, known = _rise(mixer, low_s / 60, high_s / 60, temperatures)
    if mixer is not None and mixer.friction_k is not None:
        friction_k = mixer.friction_k
    elif known:
        friction_k = temperatures * rise_k
    else:
        friction_k = mixer_friction_k(mixer.kind if mixer else "hand").usual
    return MixingHeat(rise_k, friction_k, temperatures, low_s, high_s, known)


def _mixer(kitchen: Kitchen, mixer_id: str | None) -> Mixer | None:
    if mixer_id is None:
        return None
    for mixer in kitchen.mixers:
        if mixer.id == mixer_id:
            return mixer
    known = ", ".join(repr(mixer.id) for mixer in kitchen.mixers) or "none"
    raise NotFound(f"the kitchen has no mixer {mixer_id!r} (there are: {known})")


def _minutes(formula: Formula, part_id: str, measured: Measured) -> tuple[float, float]:
    mixes = [stage for stage in formula.stages_of(part_id) if stage.kind == "mix"]
    low_s = sum((stage.low_s or 0.0) + (stage.duration_s or 0.0) for stage in mixes)
    high_s = sum(stage.high_s or 0.0 for stage in mixes)
    return (
        low_s if measured.low_s is None else measured.low_s,
        high_s if measured.high_s is None else measured.high_s,
    )


def _rise(mixer: Mixer | None, low_min: float, high_min: float, temperatures: int) -> tuple[float, bool]:
    if mixer is not None and (mixer.rise_low_k_per_min is not None or mixer.rise_high_k_per_min is not None):
        slow = mixer.rise_low_k_per_min
        fast = mixer.rise_high_k_per_min
        slow = (fast or 0.0) / _SECOND_SPEED_WEIGHT if slow is None else slow
        fast = slow * _SECOND_SPEED_WEIGHT if fast is None else fast
        return slow * low_min + fast * high_min, True
    if mixer is not None and mixer.friction_k is not None:
        return mixer.friction_k / temperatures, True
    usual = mixer_rise_k(mixer.kind if mixer else "hand").usual
    return usual * (low_min + _SECOND_SPEED_WEIGHT * high_min) / _USUAL_SPEED_MINUTES, False
