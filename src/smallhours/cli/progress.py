"""The sign of life while the planner thinks; Ctrl-C asks it to end with the best plan so far."""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import TYPE_CHECKING, Any

from smallhours.cli.say import aside

if TYPE_CHECKING:
    from smallhours.planning.engine.progress import Progress, Stopper

_LEVELS = ("minutes late", "what comes next", "what comes third", "what comes after that")
_QUIET_S = 5.0  # without a terminal: a line at most so often


@contextmanager
def watched(stop: Stopper, time_limit_s: float) -> Iterator[Callable[[Progress], None]]:
    """A callback for the planner's progress; while inside, the first Ctrl-C stops the search, not the program."""
    before = signal.getsignal(signal.SIGINT)

    def on_interrupt(_number: int, _frame: FrameType | None) -> None:
        stop.stop()
        signal.signal(signal.SIGINT, before)  # a second Ctrl-C ends the program

    out = aside()
    signal.signal(signal.SIGINT, on_interrupt)
    try:
        if sys.stderr.isatty():
            with out.status(f"planning, at most {time_limit_s:g} s; Ctrl-C keeps the best plan so far") as status:
                yield lambda progress: status.update(said(progress))
        else:
            yield _lines(out.print)
    finally:
        signal.signal(signal.SIGINT, before)


def said(progress: Progress) -> str:
    """One line of progress.

    >>> from smallhours.planning.engine.progress import Progress
    >>> said(Progress(2.5, 0, 35, 0))
    'planning 2.5 s: minutes late 35 (no plan can be under 0); Ctrl-C keeps this plan'
    """
    what = _LEVELS[min(progress.level, len(_LEVELS) - 1)]
    if progress.value is None:
        return f"planning {progress.seconds:.1f} s: no plan yet"
    least = f"(no plan can be under {progress.bound})"
    return f"planning {progress.seconds:.1f} s: {what} {progress.value} {least}; Ctrl-C keeps this plan"


def _lines(write: Callable[[Any], None]) -> Callable[[Progress], None]:
    last = [0.0]

    def on_progress(progress: Progress) -> None:
        if time.monotonic() - last[0] >= _QUIET_S:
            last[0] = time.monotonic()
            write(said(progress))

    return on_progress


@contextmanager
def trying(stop: Stopper) -> Iterator[Callable[[int, int, str], None]]:
    """A callback for tries, one after the other; while inside, the first Ctrl-C keeps what was found, and ends."""
    before = signal.getsignal(signal.SIGINT)

    def on_interrupt(_number: int, _frame: FrameType | None) -> None:
        stop.stop()
        signal.signal(signal.SIGINT, before)  # a second Ctrl-C ends the program

    out = aside()
    signal.signal(signal.SIGINT, on_interrupt)
    try:
        if sys.stderr.isatty():
            with out.status("trying; Ctrl-C keeps what was found so far") as status:
                yield lambda number, _most, words: status.update(f"trying ({number}): {words}")
        else:
            yield _tries(out.print)
    finally:
        signal.signal(signal.SIGINT, before)


def _tries(write: Callable[[Any], None]) -> Callable[[int, int, str], None]:
    last = [time.monotonic()]

    def on_step(number: int, _most: int, words: str) -> None:
        if time.monotonic() - last[0] >= _QUIET_S:
            last[0] = time.monotonic()
            write(f"trying ({number}): {words}")

    return on_step
