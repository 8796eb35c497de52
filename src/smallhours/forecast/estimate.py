"""A number and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Estimate:
    """A median and the interval in which the truth should lie four times in five."""

    median: float
    low: float
    high: float

    def times(self, factor: float) -> Estimate:
        """The same in another unit (``factor`` above 0)."""
        return Estimate(self.median * factor, self.low * factor, self.high * factor)

    @classmethod
    def sure(cls, value: float) -> Estimate:
        """A number nothing is drawn for."""
        return cls(value, value, value)
