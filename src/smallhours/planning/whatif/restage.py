"""A formula with one of its stages otherwise: done in one way only, baked at another temperature.

A stage that a product has from its base becomes the product's own from there on, so that the base's other products
keep it as it is; but what the dough goes through as one mass belongs to the base, and has to be said of the base.
"""

from __future__ import annotations

from collections.abc import Mapping

from smallhours.bakery.formula.document import Formula, Stage
from smallhours.bakery.formula.join import joined
from smallhours.bakery.orders.products import finder
from smallhours.bakery.process import habits
from smallhours.bakery.shift.variation import BakedAt, OneWay
from smallhours.errors import BadInput


def one_way(formulas: Mapping[str, Formula], way: OneWay) -> dict[str, Formula]:
    """The formulas, one of them with a stage that is done at one place only.

    Raises: NotFound for a formula, BadInput for a stage or place that the formula does not have.
    """
    stage = _stage(formulas, way.product, way.stage)
    ways = {each.place: each for each in (habits.main_way(stage, 1), *stage.instead)}
    if way.place not in ways:
        raise BadInput(
            f"{way.product}: its stage {way.stage!r} cannot be done in the {way.place!r}; its formula allows: "
            + ", ".join(ways)
        )
    if way.place == habits.place_of(stage):
        return _with(formulas, way.product, stage, stage.model_copy(update={"instead": ()}))
    chosen = next(each for each in stage.instead if each.place == way.place)
    fields = ("place", "duration_s", "min_s", "max_s", "at_temp_c", "temper_s")
    changed = {name: getattr(chosen, name) for name in fields}
    return _with(formulas, way.product, stage, stage.model_copy(update={**changed, "per_piece_s": None, "instead": ()}))


def baked_at(formulas: Mapping[str, Formula], bake: BakedAt) -> dict[str, Formula]:
    """The formulas, one of them with another set temperature and length of its (first) bake.

    Raises: NotFound for a formula, BadInput for one that is not baked.
    """
    whole = joined(finder(formulas)(bake.product), finder(formulas))
    stage = next((each for each in whole.stages_of(whole.main) if each.kind == "bake"), None)
    if stage is None:
        raise BadInput(f"{bake.product!r} is not baked: there is no bake among its stages")
    changed = {"set_temp_c": bake.set_temp_c, "duration_s": bake.duration_s, "min_s": None, "max_s": None}
    return _with(formulas, bake.product, stage, stage.model_copy(update=changed))


def _stage(formulas: Mapping[str, Formula], product: str, key: str) -> Stage:
    whole = joined(finder(formulas)(product), finder(formulas))
    stage = next((each for each in whole.stages if each.key == key), None)
    if stage is None:
        known = ", ".join(dict.fromkeys(each.key for each in whole.stages))
        raise BadInput(f"{product}: has no stage {key!r} (there are: {known})")
    return stage


def _with(formulas: Mapping[str, Formula], product: str, old: Stage, new: Stage) -> dict[str, Formula]:
    own = formulas[product]
    if old in own.stages:
        stages = tuple(new if stage == old else stage for stage in own.stages)
        return {**formulas, product: own.model_copy(update={"stages": stages})}
    whole = joined(own, finder(formulas))
    chain = whole.stages_of(old.part or whole.main)
    place = chain.index(old)
    if (old.part or whole.main) != whole.main or place < len(habits.chain_of(chain).of_batch):
        raise BadInput(f"{product}: its stage {old.key!r} is its base's: say it of {own.base!r}")
    return {**formulas, product: own.model_copy(update={"stages": (*own.stages, new, *chain[place + 1 :])})}
