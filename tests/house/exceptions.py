"""What may break a rule of the house: by name, with the reason. An exception that is no longer needed fails too."""

from __future__ import annotations

LONG_FILES: dict[str, str] = {}
"""File -> why it may be longer than the limit."""

LONG_FUNCTIONS: dict[str, str] = {}
"""``file:function`` (or ``file:Class.method``) -> why it may be longer than the limit."""

PATHS_OF_A_MACHINE: dict[str, str] = {}
"""File -> why it may name a path of one machine."""

SKIPPED_TESTS: dict[str, str] = {}
"""``file:function`` -> why it may be skipped."""

PARAMETERS_WITHOUT_UNIT: dict[str, str] = {}
"""``file:function:parameter`` in science -> why it has no unit suffix."""
