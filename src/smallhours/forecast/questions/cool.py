"""When can it be cut, glazed and packed?"""

from __future__ import annotations

from smallhours.errors import BadInput
from smallhours.forecast.cool_moments import LONGEST_S, TOPPINGS
from smallhours.forecast.questions.answer import NOTHING_LOGGED, Answer, Asked, Number, said, spread
from smallhours.forecast.stage_forecast import Moment, StageForecast

_RESTS_ON = (
    "conduction in the loaf, the air around it and 1 to 3 % of water that it loses (a judgement with a wide range); "
    "how cool it has to be is the trade's, and for the bag the dew point in it; "
)
_LIKELY = 0.5


def when_is_it_cool(
    asked: Asked, cut_c: float | None = None, bag_c: float | None = None, topping: str | None = None
) -> Answer:
    """When out of the oven can it be cut, glazed and put into a closed bag, in this room? In seconds from then.

    ``cut_c``: how cool the core has to be to be cut (35 °C); ``bag_c``: the coldest place the bag will lie in (the
    room); ``topping``: what goes on it, a row of table ``toppings`` (its formula's).
    Raises: BadInput for a formula that does not cool in the room after a bake, or another topping.
    """
    if topping is not None and topping not in TOPPINGS:
        raise BadInput(f"a topping must be one of {', '.join(TOPPINGS)} (found {topping!r})")
    made = asked.forecast(cut_core_c=cut_c, bag_c=bag_c, topping=topping)
    stage = next((one for one in made.stages if one.moments), None)
    if stage is None:
        raise BadInput(f"formula {asked.formula.id!r} has no stage in which it cools in the room after its bake")
    moments = {moment.name: moment for moment in stage.moments}
    numbers = [Number("cool", "s", stage.length), Number("core after it", "°C", stage.at_end.core)]
    for name, moment in moments.items():
        numbers += [Number(name, "s", moment.after), Number(f"{name}, at", "°C", moment.temp)]
    told = [_cut(moments["cut"], stage)]
    if "glaze from" in moments:
        told.append(_glazed(moments["glaze from"], moments["glaze until"]))
    told.append(_packed(moments["pack"], stage if bag_c is None else bag_c))
    told.append(
        f"The formula's own cooling of {said(stage.reference_s)} takes {spread(stage.length)} here; its core then has "
        f"{stage.at_end.core.median:.0f} °C ({stage.at_end.core.low:.0f} to {stage.at_end.core.high:.0f} °C)."
    )
    look = moments["cut"].reached < _LIKELY or ("glaze from" in moments and moments["glaze from"].reached < _LIKELY)
    return Answer("cool", asked.formula.id, " ".join(told), tuple(numbers), _RESTS_ON + NOTHING_LOGGED, look)


def _cut(cut: Moment, stage: StageForecast) -> str:
    if cut.reached < _LIKELY:
        return f"In {stage.air_c:.0f} °C its core does not come to {cut.temp.median:.0f} °C: take it to a cooler place."
    return (
        f"Cut it {spread(cut.after)} after the oven, at {cut.temp.median:.0f} °C in its core, in {stage.air_c:.0f} °C."
    )


def _glazed(first: Moment, last: Moment) -> str:
    if first.reached < _LIKELY:
        return f"A topping that runs off above {first.temp.median:.0f} °C does not hold in this room."
    soft = f"it flows until {spread(last.after)}"
    if last.reached < _LIKELY or last.after.median >= LONGEST_S:
        soft = "in this room it does not get stiff"
    return f"A topping that runs off above {first.temp.median:.0f} °C holds from {spread(first.after)}; {soft}."


def _packed(pack: Moment, bag: StageForecast | float) -> str:
    lies_c = (bag.air_c or 0.0) if isinstance(bag, StageForecast) else bag
    if pack.reached < _LIKELY:
        return (
            f"In a closed bag that will lie at {lies_c:.0f} °C water settles all the same: it would have to cool to "
            f"{pack.temp.median:.0f} °C first, so pack it open or cool it there before."
        )
    return (
        f"In a closed bag at {lies_c:.0f} °C no water settles from {spread(pack.after)} on, at "
        f"{pack.temp.median:.0f} °C ({pack.temp.low:.0f} to {pack.temp.high:.0f} °C) on average."
    )
