"""Cautions in words: the keys that the bakery gives, said in the language of the sheet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from smallhours.bakery.formula.amounts import unit_amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process.cautions import Caution, cautions_for_stage
from smallhours.forecast.microbes import Kept, said_of
from smallhours.planning.plan import PlanTask
from smallhours.sheets.words import Speech

_ELSEWHERE = "local-rules"  # stands at the foot of every page
_TEMPS = ("keep-cold", "not-baked", "oven")


def sentences(cautions: Iterable[Caution], speech: Speech) -> list[str]:
    """Each caution once, in order, as a sentence."""
    told = [_sentence(caution, speech) for caution in cautions if caution.key != _ELSEWHERE]
    return list(dict.fromkeys(told))


def microbes(kept: Kept, speech: Speech) -> str:
    """How far bacteria may grow in what is kept, as a sentence: a caution, never a clearance."""
    worst = kept.worst
    return speech.say(
        f"caution.{worst.caution.key}",
        name=kept.path.name,
        warm=speech.duration(kept.path.warm_s),
        organism=said_of(worst.organism),
        low=speech.number(worst.total.low, 1),
        high=speech.number(worst.total.high, 1),
    )


def _sentence(caution: Caution, speech: Speech) -> str:
    if caution.key == "allergens":
        return speech.say("caution.allergens", list=_allergens(caution.about, speech))
    if caution.key in _TEMPS and caution.about:
        return speech.say(f"caution.{caution.key}", temp=speech.temp(float(caution.about[0])))
    return speech.say(f"caution.{caution.key}")


def kept_free(tasks: Sequence[PlanTask], names: Mapping[str, str], speech: Speech) -> list[str]:
    """What a dough or lot has to be kept free from, and what has to be cleaned before it; nothing if nobody asks.

    ``tasks``: all its tasks, cleanings too; ``names``: of equipment by id.
    """
    free = sorted({word for task in tasks for word in task.free_from})
    told = [speech.say("caution.keep-free", list=_allergens(free, speech))] if free else []
    for task in tasks:
        if task.kind == "clean":
            place = names.get(task.place) or speech.or_own(f"place.{task.place}", None)
            told.append(speech.say("caution.clean-before", place=place, list=_allergens(task.holds, speech)))
    return list(dict.fromkeys(told))


def _allergens(words: Iterable[str], speech: Speech) -> str:
    return speech.listed(sorted(speech.or_own(f"allergen.{word}", None) for word in words))


def for_product(formula: Formula, pantry: Pantry) -> list[Caution]:
    """What to mind from dividing to selling: allergens of all of a joined formula, then each stage's cautions."""
    inside = [pantry.find(key) for key in unit_amounts(formula, pantry, pieces=1).ingredients()]
    allergens = tuple(sorted({allergen for stuff in inside for allergen in stuff.allergens}))
    found = [Caution("allergens", allergens), Caution("cross")] if allergens else [Caution("no-allergens")]
    for stage in formula.stages_of(formula.main):
        found += [caution for caution in cautions_for_stage(formula, stage, pantry) if caution.key != "mixer"]
    return found
