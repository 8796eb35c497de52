"""What a stage means when its formula does not say: where it is done, whose hands it needs, how long it may wait.

All of it common practice; a formula overrides any of it by saying otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.bakery.formula.document import Attention, Place, Stage, StageKind, Way

_PLACE: dict[StageKind, Place] = {
    "weigh": "bench",
    "mix": "mixer",
    "ferment": "room",
    "rest": "room",
    "chill": "fridge",
    "proof": "room",
    "retard": "fridge",
    "temper": "room",
    "bake": "oven",
    "cool": "rack",
}
_BY_ITSELF: frozenset[StageKind] = frozenset(("ferment", "rest", "chill", "proof", "retard", "temper", "cool"))
_AT_ITS_ENDS: frozenset[StageKind] = frozenset(("mix", "bake"))
LIVING: frozenset[StageKind] = frozenset(("ferment", "rest", "proof"))
# from here on a dough is pieces, and each oven lot goes its own way
_DIVIDES: frozenset[StageKind] = frozenset(("divide", "fill", "roll", "slice", "shape", "pan"))
HANDS_AT_END_S = 60.0
STEAM_S = 600.0  # for so long after loading steam is kept in: crusts stretch, then dry
# how long something may stand between one stage and the next without harm
_WAIT_AFTER_S: dict[StageKind, float] = {"weigh": 12 * 3600.0}
_WAIT_AFTER_HANDS_S = 600.0
LONGEST_COOL_WAIT_S = 8 * 3600.0


def place_of(stage: Stage) -> Place:
    """Where a stage is done."""
    return stage.place or _PLACE.get(stage.kind, "bench")


def attention_of(stage: Stage) -> Attention:
    """When hands are needed at a stage."""
    if stage.attention is not None:
        return stage.attention
    if stage.kind in _BY_ITSELF:
        return "none"
    return "ends" if stage.kind in _AT_ITS_ENDS else "throughout"


def hands_s(stage: Stage) -> tuple[float, float]:
    """Hands-on seconds at the start and at the end of a stage that needs hands at its ends."""
    start = HANDS_AT_END_S if stage.hands_start_s is None else stage.hands_start_s
    end = HANDS_AT_END_S if stage.hands_end_s is None else stage.hands_end_s
    return start, end


def shut_s(stage: Stage) -> float:
    """How long an oven stays shut after a stage was loaded into it, for its steam."""
    if not stage.steam:
        return 0.0
    return STEAM_S if stage.shut_s is None else stage.shut_s


def duration_s(stage: Stage, pieces: int) -> float:
    """The reference length of a stage for so many pieces: fixed time, mixing time, and hand work per piece."""
    return sum(x or 0.0 for x in (stage.duration_s, stage.low_s, stage.high_s)) + (stage.per_piece_s or 0.0) * pieces


def wait_after_s(stage: Stage) -> float:
    """How long the next stage may keep a dough waiting after this one."""
    if stage.kind in _WAIT_AFTER_S:
        return _WAIT_AFTER_S[stage.kind]
    if stage.kind in _BY_ITSELF or stage.kind in _AT_ITS_ENDS:
        return 0.0
    return _WAIT_AFTER_HANDS_S


def main_way(stage: Stage, pieces: int) -> Way:
    """The stage's own way of going through it, with hand work for so many pieces counted in."""
    length = duration_s(stage, pieces)
    extra = length - (stage.duration_s or 0.0)
    low = length if stage.min_s is None else min(length, stage.min_s + extra)
    high = length if stage.max_s is None else max(length, stage.max_s + extra)
    return Way(
        place=place_of(stage),
        duration_s=length,
        min_s=low,
        max_s=high,
        at_temp_c=stage.at_temp_c,
        temper_s=stage.temper_s,
    )


@dataclass(frozen=True)
class Chain:
    """The stages of a part: those of the whole batch, then those that each lot goes through."""

    of_batch: tuple[Stage, ...]
    of_lot: tuple[Stage, ...]


def chain_of(own: tuple[Stage, ...]) -> Chain:
    """Where a dough stops being one mass: at the first stage that makes pieces of it.

    A sheeting just before that (sheet, fill, roll, slice) already belongs to the lot; sheeting followed by a rest or a
    chill (the folds of a laminated dough) is still done to the whole.
    """
    cut = next((i for i, stage in enumerate(own) if stage.kind in _DIVIDES), None)
    if cut is None:
        cut = next((i for i, stage in enumerate(own) if stage.kind in ("proof", "bake")), len(own))
    while cut > 0 and own[cut - 1].kind == "sheet":
        cut -= 1
    return Chain(own[:cut], own[cut:])
