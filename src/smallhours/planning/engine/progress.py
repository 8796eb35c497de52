"""How far a search has come, and how to stop it from outside."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Progress:
    """One better plan, or one better bound, of the level being searched.

    ``value`` is None when only the bound is better; ``seconds`` count from the call of ``solve``.
    """

    seconds: float
    level: int
    value: int | None
    bound: int


class Stopper:
    """Stops a running ``solve`` from another thread; the best plan so far is returned.

    One stopper belongs to one ``solve``; once stopped it stays stopped.
    """

    def __init__(self) -> None:
        self._stopped = threading.Event()
        self._lock = threading.Lock()
        self._halt: Callable[[], None] | None = None

    @property
    def stopped(self) -> bool:
        """Whether ``stop`` has been called."""
        return self._stopped.is_set()

    def stop(self) -> None:
        """Ask the search to end now."""
        self._stopped.set()
        with self._lock:
            if self._halt is not None:
                self._halt()

    def attach(self, halt: Callable[[], None] | None) -> None:
        """Tell the stopper what ends the search that is running now (None: nothing is running)."""
        with self._lock:
            self._halt = halt
            if halt is not None and self.stopped:
                halt()
