"""Who may do what. The only place that knows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from smallhours.errors import NotAllowed

Role = Literal["head-baker", "baker", "visitor"]
Verb = Literal["load demo", "save", "import", "export", "check", "plan", "publish", "look"]

_MAY: dict[Role, frozenset[Verb]] = {
    "head-baker": frozenset({"load demo", "save", "import", "export", "check", "plan", "publish", "look"}),
    "baker": frozenset({"export", "check", "plan", "look"}),
    "visitor": frozenset({"look"}),
}


@dataclass(frozen=True)
class Actor:
    """Somebody at the terminal or a page; ``name`` is what revisions and the log keep."""

    name: str
    role: Role


BAKER = Actor("baker", "head-baker")
"""The one user of a store on the baker's own machine."""


def may(actor: Actor, verb: Verb) -> bool:
    """Whether the actor's role allows the verb."""
    return verb in _MAY[actor.role]


def require(actor: Actor, verb: Verb) -> None:
    """Raises NotAllowed unless the actor's role allows the verb."""
    if not may(actor, verb):
        allowed = [role for role in _MAY if verb in _MAY[role]]
        raise NotAllowed(f"{actor.name} ({actor.role}) may not {verb}; ask the {' or the '.join(allowed)}")
