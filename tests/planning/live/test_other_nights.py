"""A night that is planned anew leaves to other nights what its plan left to them."""

from __future__ import annotations

from planning.days.test_plan_days import ALL_DAY, NEXT, planned
from planning.shift.small_bakery import MADE_AT, NIGHT, formula, kitchen, minutes, order, stages, task
from planning.sound import wrong_with
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.shift.happened import Happened
from smallhours.planning.check.case import Documents
from smallhours.planning.check.days import between
from smallhours.planning.live.replan import replan


def test_what_other_nights_take_stays_theirs() -> None:
    """Hand: the first bread is in the only deck at 200 °C until 23:10; the next night's crust, at 250 °C, before that.

    Two hours before that crust the second night is planned anew with four more crusts for 02:00: these are baked after
    23:10, the rest as it was, and both nights together are still sound.
    """
    there = kitchen(people=ALL_DAY)
    made = [formula(), formula("crust", stages(("bake", {"set_temp_c": 250.0})))]
    nights = {NIGHT: [order("23:50")], NEXT: [order("00:00", product="crust", night=NEXT)]}
    first, second = planned(made, nights, there)
    now = task(second, "bake", "crust").start - minutes(120)
    more = {"customer": "Inn", "product": "crust", "date": NEXT, "due": "02:00:00", "pieces": 4}
    happened = Happened.model_validate({"now": now, "orders": [more]})
    written = {each.id: each for each in made}
    anew = replan(second, happened, written, there, Pantry(), made_at=MADE_AT, time_limit_s=4.0)
    assert anew.taken == second.taken
    bakes = sorted((t for t in anew.tasks if t.kind == "bake"), key=lambda t: t.start)
    assert bakes[0].start == task(second, "bake", "crust").start
    assert bakes[1].start >= task(first, "bake").end
    assert wrong_with(anew, there, written) == []
    assert between([first, anew], Documents(there)) == ()
