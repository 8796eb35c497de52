"""What ``plan-days`` answers with ``--json``."""

from __future__ import annotations

from smallhours.cli.reply import Reply
from smallhours.planning.plan import Plan


class PlanDaysReply(Reply):
    """Answer of ``plan-days``: the plans in order of their nights."""

    schema_name: str = "smallhours.plan-days/1"
    plans: tuple[Plan, ...]
