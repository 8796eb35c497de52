"""Which ticks of a task a demand covers."""

from __future__ import annotations

from smallhours.planning.engine.problem import Part


def covered(part: Part, start: int, end: int) -> tuple[int, int]:
    """The half-open stretch of ticks [a, b) that ``part`` covers of a task placed at [start, end).

    >>> covered(Part("last", 5), 10, 30), covered(Part("but_last", 5), 10, 30), covered(Part("first", 50), 10, 30)
    ((25, 30), (10, 25), (10, 30))
    """
    if part.kind == "first":
        return start, min(start + part.ticks, end)
    if part.kind == "last":
        return max(end - part.ticks, start), end
    if part.kind == "but_last":
        return start, max(end - part.ticks, start)
    if part.kind == "but_first":
        return min(start + part.ticks, end), end
    return start, end
