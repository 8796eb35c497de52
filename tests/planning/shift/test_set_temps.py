"""Which set temperatures an oven may stand at."""

from __future__ import annotations

import pytest

from planning.shift.small_bakery import stage
from smallhours.planning.shift.equipment import set_temps


@pytest.mark.parametrize(
    ("bakes", "temps"),
    [
        ([(180, 0), (230, 0)], [180, 230]),  # nothing in common
        ([(180, 6), (190, 8)], [180, 185, 190]),  # 182 to 186 suits both; 185 is the multiple of five in it
        ([(181, 2), (184, 2)], [181, 184]),  # 182 to 183 suits both, but nobody sets an oven so fine
        ([(180, 10), (190, 10)], [180, 190]),  # each already suits the other: nothing to add
        ([], []),
    ],
)
def test_a_temperature_in_between(bakes: list[tuple[float, float]], temps: list[float]) -> None:
    """Hand: the temperatures named, and one that two bakes both allow where neither's own does (see each case)."""
    stages = [
        stage({"kind": "bake", "id": f"b{n}", "duration_s": 600.0, "set_temp_c": t, "set_temp_give_k": give})
        for n, (t, give) in enumerate(bakes)
    ]
    assert set_temps(stages) == temps


def test_only_bakes_count() -> None:
    """Limit: a proof that names a temperature of its place is no oven setting."""
    assert set_temps([stage({"kind": "cool", "duration_s": 600.0})]) == []
