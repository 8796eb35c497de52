"""What the commands ``what-if``, ``cure``, ``headroom`` and ``fits`` answer with ``--json``."""

from __future__ import annotations

import datetime as dt

from smallhours.cli.reply import Reply
from smallhours.planning.whatif.document import Cures, Fit, Headroom, Measures


class WhatIfReply(Reply):
    """Answer of ``what-if``: a night as it is (the first of ``nights``) and its variations, side by side."""

    schema_name: str = "smallhours.what-if/1"
    night: dt.date
    timezone: str
    nights: tuple[Measures, ...]


class CureReply(Reply):
    """Answer of ``cure``: what is late in a night, and the smallest changes that were found to cure it."""

    schema_name: str = "smallhours.cure/1"
    cures: Cures


class HeadroomReply(Reply):
    """Answer of ``headroom``: what a night that is on time has left, and what one thing more would bring."""

    schema_name: str = "smallhours.headroom/1"
    headroom: Headroom


class FitsReply(Reply):
    """Answer of ``fits``: whether an extra order fits into a night, what it costs, until when it can be taken."""

    schema_name: str = "smallhours.fits/1"
    fit: Fit
