"""Butter that has to stand in the room before it goes in: how long from the fridge until it is warm enough."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property

from smallhours.bakery.formula.document import Line
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import Batch
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process.bowl import is_butter
from smallhours.forecast.butter_block import block_of, reached_s
from smallhours.forecast.ensemble import Ensemble, draw, estimates
from smallhours.forecast.place_temp import place_temp_c
from smallhours.reference.defaults import butter_melting
from smallhours.science.composition import Composition
from smallhours.science.thermal_properties import conductivity_w_per_m_k, density_kg_per_m3, specific_heat_j_per_g_k

PACK_G = 250.0
RESTS_ON = "packs of 250 g apart from one another in the room, from the fridge; larger blocks take much longer"
_AT_C, _MEMBERS = 10.0, 100
_LONGEST_S = 24 * 3600.0


@dataclass(frozen=True)
class Butter:
    """The butter of a kitchen, out of its fridge into a room."""

    kitchen: Kitchen
    pantry: Pantry
    _known: dict[tuple[str | None, float | None, float], float | None] = field(default_factory=dict)

    def lines(self, batch: Batch) -> Iterator[tuple[Line, float]]:
        """The butter of a batch that has to go in warmer than the fridge, with its mass (g)."""
        if not any(cold.kind != "freezer" for cold in self.kitchen.cold):
            return
        for row in batch.amounts.parts[batch.part_id].lines:
            line = row.line
            if line.ingredient is None or line.temp_c is None or not is_butter(self.pantry.find(line.ingredient)):
                continue
            if line.temp_c > place_temp_c(self.kitchen, "fridge"):
                yield line, row.mass_g

    def stands_s(self, line: Line, room_c: float) -> float | None:
        """Seconds until the middle of a pack has a line's temperature; None where it does not get there in a day.

        The room is taken to half a degree.
        """
        key = (line.ingredient, line.temp_c, round(2.0 * room_c) / 2.0)
        if key not in self._known:
            self._known[key] = self._reached_s(str(line.ingredient), line.temp_c or 0.0, key[2])
        return self._known[key]

    def _reached_s(self, ingredient: str, wanted_c: float, room_c: float) -> float | None:
        """As ``stands_s``.

        Source: ``forecast.butter_block.reached_s``, the median of its ensemble; a pack of ``PACK_G`` is a judgement.
        """
        import numpy as np

        stuff = self.pantry.find(ingredient)
        made = stuff.composition if stuff.composition.water_fraction is not None else self._plain
        properties = (
            density_kg_per_m3(made, _AT_C),
            conductivity_w_per_m_k(made, _AT_C),
            specific_heat_j_per_g_k(made, _AT_C),
        )
        block = block_of(PACK_G, None, properties, on_rack=False)
        melting = butter_melting(stuff.composition.fat_fraction or 0.81)
        wanted = np.full(self._ensemble.members, wanted_c)
        fridge_c = place_temp_c(self.kitchen, "fridge")
        seconds = reached_s(block, self._ensemble, melting, fridge_c, room_c, wanted, False)
        found = estimates({"s": seconds.clip(0.0, _LONGEST_S)}, self._ensemble.weights)["s"].median
        return None if found >= _LONGEST_S else found

    @cached_property
    def _ensemble(self) -> Ensemble:
        return draw(_MEMBERS)

    @cached_property
    def _plain(self) -> Composition:
        return self.pantry.find("butter-unsalted").composition
