"""TOML as a baker reads it: a list of things at the top has a heading for each; what they hold stands line by line.

One style for every document: ``[table]`` for a single thing, ``[[parts]]`` for each of several, and inside them lists
of things as one inline table a line (``lines = [`` ... ``]``). Names and values are quoted by ``tomli_w``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import tomli_w

_WIDEST = 100  # characters of a list that still stands on one line


def toml_text(data: Mapping[str, Any]) -> str:
    """The TOML text of plain data (texts, numbers, truth values, dates, times, lists and mappings of them)."""
    blocks = ["\n".join(block) for block in _table((), data, "")]
    return "\n\n".join(block for block in blocks if block) + "\n"


def _table(path: tuple[str, ...], data: Mapping[str, Any], heading: str) -> Iterator[list[str]]:
    """A table with its heading, then the tables inside it."""
    plain = {key: value for key, value in data.items() if not _has_heading(path, value)}
    lines = _lines(plain)
    yield [heading, *lines] if heading else lines
    for key, value in data.items():
        inside = (*path, key)
        name = ".".join(map(_key, inside))
        if key in plain:
            continue
        if isinstance(value, Mapping):
            yield from _table(inside, value, f"[{name}]")
        else:
            for item in value:
                yield [f"[[{name}]]", *_lines(item)]


def _lines(data: Mapping[str, Any]) -> list[str]:
    """Names and values; what takes several lines stands last."""
    return sorted((f"{_key(key)} = {_value(value)}" for key, value in data.items()), key=lambda line: "\n" in line)


def _has_heading(path: tuple[str, ...], value: object) -> bool:
    return isinstance(value, Mapping) or (not path and _is_table_list(value))


def _is_table_list(value: object) -> bool:
    return _is_list(value) and bool(value) and all(isinstance(item, Mapping) for item in value)  # type: ignore[attr-defined]


def _is_list(value: object) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str)


def _value(value: Any) -> str:
    """A value behind its equals sign; a list of tables, and a list too long for a line, with an item a line."""
    if not _is_list(value):
        return _inline(value)
    on_one_line = _inline(value)
    if not _is_table_list(value) and len(on_one_line) <= _WIDEST:
        return on_one_line
    return "\n".join(["[", *(f"    {_inline(item)}," for item in value), "]"])


def _inline(value: Any) -> str:
    if isinstance(value, Mapping):
        inside = ", ".join(f"{_key(key)} = {_inline(item)}" for key, item in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    if _is_list(value):
        return f"[{', '.join(map(_inline, value))}]"
    text: str = tomli_w.dumps({"x": value})
    return text.removeprefix("x = ").removesuffix("\n")


def _key(key: str) -> str:
    """A name, quoted where TOML wants it."""
    text: str = tomli_w.dumps({key: 0})
    return text.removesuffix(" = 0\n")
