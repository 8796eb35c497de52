"""Which ticks of a task a demand covers."""

from __future__ import annotations

from smallhours.planning.engine.problem import Part


def covered(part: Part, start: int, end: int) -> tuple[int, int]:
    """The half-open stretch of ticks [a, b) that ``part`` covers of a task placed at [start, end).

    >>> covered(Part("last", 5), 10, 30), covered(Part("but_last", 5), 10, 30), covered(Part("first", 50), 10, 30)
    ((25, 30), (10, 25), (10, 30))
    >>> covered(Part("from_start", 50), 10, 30), covered(Part("from_end", 50, lead=5), 10, 30)
    ((10, 60), (25, 75))
    """
    if part.kind == "first":
        return start, min(start + part.ticks, end)
    if part.kind == "last":
        return max(end - part.ticks, start), end
    if part.kind == "but_last":
        return start, max(end - part.ticks, start)
    if part.kind == "but_first":
        return min(start + part.ticks, end), end
    if part.kind == "and_after":
        return start, end + part.ticks
    if part.kind == "from_start":
        return start, start + part.ticks
    if part.kind == "from_end":
        return max(end - part.lead, 0), max(end - part.lead + part.ticks, 0)
    return start, end


def edges(part: Part, shortest: int) -> tuple[bool, int, bool, int]:
    """Where the stretch of a part begins and ends: from the start of its task (True) or its end, and by how much later.

    For a task at least ``shortest`` long; a longer part is taken as that long.

    >>> edges(Part("last", 5), 20), edges(Part("whole"), 20)
    ((False, -5, False, 0), (True, 0, False, 0))
    """
    ticks = min(part.ticks, shortest)
    if part.kind == "first":
        return True, 0, True, ticks
    if part.kind == "last":
        return False, -ticks, False, 0
    if part.kind == "but_last":
        return True, 0, False, -ticks
    if part.kind == "but_first":
        return True, ticks, False, 0
    if part.kind == "and_after":
        return True, 0, False, part.ticks
    if part.kind == "from_start":
        return True, 0, True, part.ticks
    if part.kind == "from_end":
        return False, -part.lead, False, part.ticks - part.lead
    return True, 0, False, 0
