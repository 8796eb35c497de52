"""Saying the answer to a question, to people and to programs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from smallhours.cli import forecast_replies as r
from smallhours.cli.say import Ending, console, end, give_json

if TYPE_CHECKING:
    from smallhours.forecast.questions import Answer


def give_answer(answer: Answer, as_json: bool) -> None:
    """Say an answer or give it as JSON, and end with 1 if it has to be looked at."""
    if as_json:
        numbers = tuple(
            r.NumberReply(name=one.name, unit=one.unit, value=r.EstimateReply.of(one.value)) for one in answer.numbers
        )
        give_json(
            r.AskReply(
                question=answer.question,
                formula=answer.formula,
                sentence=answer.sentence,
                numbers=numbers,
                rests_on=answer.rests_on,
                look=answer.look,
            )
        )
    else:
        out = console()
        out.print(Text(answer.sentence, style="bold"))
        out.print(Text(f"This rests on {answer.rests_on}."))
    if answer.look:
        end(Ending.NEEDS_ATTENTION)
