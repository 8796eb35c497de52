"""Who may do what. The only place that knows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from smallhours.errors import NotAllowed

Role = Literal["head-baker", "baker", "office", "reader"]
Scope = Literal["desk", "shift"]
Verb = Literal[
    "load demo", "save formula", "save kitchen", "save orders", "save ingredients", "import", "export", "check",
    "plan", "publish", "note shift", "look", "own account", "read log", "manage people", "pair tablets", "back up",
    "restore",
]  # fmt: skip

ROLES: tuple[Role, ...] = get_args(Role)
_HEAD = frozenset[Role]({"head-baker"})
_OFFICE = frozenset[Role]({"head-baker", "office"})
_BENCH = frozenset[Role]({"head-baker", "baker"})
_STAFF = _OFFICE | _BENCH

MAY: Mapping[Verb, frozenset[Role]] = {
    "load demo": _HEAD,
    "save formula": _HEAD,
    "save kitchen": _HEAD,
    "save orders": _OFFICE,
    "save ingredients": _OFFICE,
    "import": _OFFICE,  # and of each document what saving it asks for
    "export": _STAFF,
    "check": _STAFF,
    "plan": _BENCH,
    "publish": _HEAD,
    "note shift": _BENCH,
    "look": frozenset(ROLES),
    "own account": frozenset(ROLES),
    "read log": _HEAD,
    "manage people": _HEAD,
    "pair tablets": _HEAD,
    "back up": _HEAD,
    "restore": _HEAD,
}
"""Which roles may do what."""

ON_TABLETS: frozenset[Verb] = frozenset({"look", "note shift"})
"""What somebody may do who has only tapped a name and a PIN on a shared tablet, if the role allows it at all."""


@dataclass(frozen=True)
class Actor:
    """Somebody at the terminal or a page; ``name`` is what revisions and the log keep.

    ``scope``: ``desk``, or ``shift`` for who has signed in on a shared tablet.
    """

    name: str
    role: Role
    scope: Scope = "desk"


BAKER = Actor("baker", "head-baker")
"""Whoever sits at the terminal of the machine that has the store; before there is an account, the pages' one user."""


def may(actor: Actor, verb: Verb) -> bool:
    """Whether the actor's role, and where the actor is, allow the verb."""
    return actor.role in MAY[verb] and (actor.scope == "desk" or verb in ON_TABLETS)


def require(actor: Actor, verb: Verb) -> None:
    """Raises NotAllowed unless the actor's role, and where the actor is, allow the verb."""
    if may(actor, verb):
        return
    if actor.role in MAY[verb]:
        raise NotAllowed(f"{actor.name} may not {verb} from a shared tablet; sign in with the password at the desk")
    allowed = [role for role in ROLES if role in MAY[verb]]
    raise NotAllowed(f"{actor.name} ({actor.role}) may not {verb}; ask the {' or the '.join(allowed)}")
