"""What a plan in the making comes to, term by term."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.planning.engine.parts import covered

if TYPE_CHECKING:
    from smallhours.planning.engine.insert import Inserter
    from smallhours.planning.engine.prices import Prices


@dataclass(frozen=True)
class Worth:
    """The terms of the objective."""

    terms: dict[str, int]

    def total(self, prices: Prices) -> float:
        """All terms weighed together, those of earlier levels more."""
        return sum(prices.weights[name] * value for name, value in self.terms.items())


def own_terms(inserter: Inserter, names: Iterable[str]) -> dict[str, int]:
    """The terms of some placed tasks, as far as they do not hang on other tasks."""
    terms: dict[str, int] = {}
    for name in names:
        for term, value in inserter.prices.terms_of(name, inserter.placed[name], inserter.chosen[name]).items():
            terms[term] = terms.get(term, 0) + value
    return terms


def worth(
    inserter: Inserter, names: Iterable[str] | None = None, own: Iterable[Mapping[str, int]] | None = None
) -> Worth:
    """The terms of everything that is placed: those that have a price, or those named.

    ``own``: what ``own_terms`` gave for all that is placed, in parts, where that is known.
    """
    terms = dict.fromkeys(inserter.prices.weights if names is None else names, 0)
    for part in [own_terms(inserter, inserter.placed)] if own is None else own:
        for term, value in part.items():
            if term in terms:
                terms[term] += value
    for term in terms:
        kind, _, resource = term.partition(":")
        if kind == "makespan":
            terms[term] = max((where.end for where in inserter.placed.values()), default=0)
        elif kind == "held":
            terms[term] = sum(end - start for start, end in inserter.ground.stands(resource))
        elif kind in ("hours", "begins"):
            terms[term] = _there(inserter, kind, resource)
        elif kind == "span":
            stretches = list(uses(inserter, resource))
            terms[term] = (
                max(end for _, end, _ in stretches) - min(start for start, _, _ in stretches) if stretches else 0
            )
    return Worth(terms)


def _there(inserter: Inserter, kind: str, resource: str) -> int:
    stays = inserter.ground.presence(resource)
    if kind == "hours":
        return sum(end - start for start, end in stays)
    shifts = inserter.ground.shifts(resource)
    return sum(end - start for (_, end), (start, _) in zip(shifts, stays, strict=True))


def uses(inserter: Inserter, resource: str) -> Iterator[tuple[int, int, int]]:
    """From when to when and how much of a resource what is placed needs."""
    for name, where in inserter.placed.items():
        for demand in inserter.chosen[name].mode.demands:
            if demand.resource == resource and demand.amount:
                start, end = covered(demand.part, where.start, where.end)
                if start < end:
                    yield start, end, demand.amount
