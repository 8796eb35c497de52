"""What every answer with ``--json`` is made of."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Reply(BaseModel):
    """Base of every answer: frozen, nothing unknown inside."""

    model_config = ConfigDict(frozen=True, extra="forbid")
