"""What the ``odds`` command answers with ``--json``."""

from __future__ import annotations

import datetime as dt

from smallhours.cli.reply import Reply
from smallhours.planning.odds.document import MarginOdds, NightOdds


class OddsReply(Reply):
    """Answer of ``odds``: how a plan fares in nights that could be; or, of a night planned with several margins, what
    each brings and costs, and the smallest with which an order's mean chance reaches ``wanted``."""

    schema_name: str = "smallhours.odds/1"
    plan: str | None
    night: dt.date
    odds: NightOdds | None = None
    margins: tuple[MarginOdds, ...] = ()
    wanted: float | None = None
    recommended_s: float | None = None
