"""Whatever is spoilt in a good plan, anywhere in it, the check finds it: none of hundreds of spoilings goes by."""

from __future__ import annotations

import pytest

from planning.check.good_night import CLEANED_DOCUMENTS, cleaned_plan, found_in, plan
from planning.check.spoilings import allergens, every

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


def test_every_trace_of_an_allergen_is_found() -> None:
    """Limit: a plan in which mixer and bench are cleaned of nuts is good, and spoilt in any of this it is not."""
    assert found_in(cleaned_plan(), CLEANED_DOCUMENTS) == []
    spoilings = [*allergens(cleaned_plan())]
    passed = []
    for spoiling in spoilings:
        spoilt = cleaned_plan()
        spoiling.apply(spoilt)
        if not found_in(spoilt, CLEANED_DOCUMENTS):
            passed.append(spoiling.name)
    assert len(spoilings) >= 30
    assert passed == []
