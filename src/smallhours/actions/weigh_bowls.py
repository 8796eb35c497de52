"""What goes into each bowl of a planned night, at the steps of the scales, in the order it goes in."""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.actions.night_papers import NightPapers
from smallhours.bakery.formula.amounts import Amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.part_amounts import part_amounts
from smallhours.bakery.formula.rounding import LEAST_STEPS
from smallhours.bakery.process.weigh_up import WeighRow, WeighUp, weigh_up
from smallhours.planning.plan import PlanBatch


@dataclass(frozen=True)
class Bowl:
    """One bowl of the plan and its weigh-up; ``liquids``: names (English, Spanish) of what is poured to steer it."""

    batch: PlanBatch
    weigh_up: WeighUp
    liquids: tuple[tuple[str, str], ...]

    @property
    def rows(self) -> tuple[tuple[WeighRow, bool], ...]:
        """The rows, each with whether it is too little for its scale to weigh at all."""
        return tuple((row, row.exact_g < LEAST_STEPS * row.step_g) for row in self.weigh_up.rows)


@dataclass(frozen=True)
class _Planned:
    """A planned bowl as the weigh-up wants it."""

    formula: Formula
    part_id: str
    amounts: Amounts
    mixers: tuple[str, ...]


def weigh_bowls(papers: NightPapers) -> tuple[Bowl, ...]:
    """Every bowl of the night, in the plan's order."""
    return tuple(_bowl(papers, batch) for batch in papers.plan.batches)


def _bowl(papers: NightPapers, batch: PlanBatch) -> Bowl:
    formula = papers.formulas[batch.formula]
    pieces = sum(lot.pieces for lot in batch.lots) or None
    amounts = part_amounts(formula, batch.part, batch.mass_g, papers.pantry, pieces)
    planned = _Planned(formula, batch.part, amounts, (batch.mixer,) if batch.mixer else ())
    keys = batch.liquid.liquid.split(", ") if batch.liquid else []
    liquids = [papers.pantry.find(key) for key in keys if key in papers.pantry]
    return Bowl(
        batch,
        weigh_up(planned, papers.pantry, papers.kitchen, batch.liquid),
        tuple((stuff.name, stuff.name_es) for stuff in liquids),
    )
