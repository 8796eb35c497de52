"""Whatever is spoilt in a good plan, anywhere in it, the check finds it: none of hundreds of spoilings goes by."""

from __future__ import annotations

import pytest

from planning.check.good_night import found_in, plan
from planning.check.spoilings import every

_PARTS = 6


def test_the_good_plan_has_nothing_wrong() -> None:
    """Limit: the plan that is spoilt below is whole before, and has what can be spoilt."""
    whole = plan()
    assert found_in(whole) == []
    assert len(whole["ovens"]) >= 2
    assert any(person["breaks"] for person in whole["people"])
    assert any(t["kind"] == "proof" and t["place"] == "fridge" for t in whole["tasks"])
    assert any(batch["feeds"] for batch in whole["batches"])
    assert any(t["kind"] == "pans-cool" for t in whole["tasks"])


@pytest.mark.parametrize("part", range(_PARTS))
def test_every_spoiling_is_found(part: int) -> None:
    """Limit: a plan spoilt in one place is never passed as good, wherever that place is."""
    spoilings = [*every(plan())][part::_PARTS]
    passed = []
    for spoiling in spoilings:
        spoilt = plan()
        spoiling.apply(spoilt)
        if not found_in(spoilt):
            passed.append(spoiling.name)
    assert len(spoilings) > 100
    assert passed == []
