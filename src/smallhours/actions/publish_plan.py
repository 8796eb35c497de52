"""Make a plan the one its night follows."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.stored_plan import StoredPlan, stored_plan
from smallhours.records import keeping, queries


@dataclass(frozen=True)
class PublishPlan:
    """The plan's id in the store, and why this one."""

    plan_id: int
    reason: str = ""


def publish_plan(command: PublishPlan, actor: Actor = BAKER, clock: Clock = now) -> StoredPlan:
    """Publish it; another plan of that night that was published steps back. Raises NotFound, NotAllowed."""
    require(actor, "publish")
    night = queries.kept_plan(plan_id=command.plan_id).night.isoformat()
    signature = keeping.Signature(actor.name, clock(), command.reason)
    with transaction.atomic():
        keeping.publish_plan(command.plan_id)
        done = keeping.Done("publish", "plan", night, details={"plan": command.plan_id})
        keeping.write_log(done, signature)
    return stored_plan(queries.kept_plan(plan_id=command.plan_id))
