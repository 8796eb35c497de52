"""Size and names: what a person can hold in the head, under a name that says what is inside."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import PurePosixPath

FILE_LINES = 400
FUNCTION_LINES = 40

DRAWERS = frozenset({"utils", "util", "helpers", "helper", "common", "misc", "manager", "managers", "processor"})
"""Names that say nothing about what is inside, so that anything ends up there."""

Function = ast.FunctionDef | ast.AsyncFunctionDef


def long_files(name: str, text: str, limit: int = FILE_LINES) -> list[str]:
    lines = len(text.splitlines())
    return [f"{name}: {lines} lines, at most {limit}"] if lines > limit else []


def functions(tree: ast.AST, inside: str = "") -> Iterator[tuple[str, Function]]:
    """Every function and method with its dotted name, outermost first."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, Function):
            yield inside + node.name, node
            yield from functions(node, inside + node.name + ".")
        elif isinstance(node, ast.ClassDef):
            yield from functions(node, inside + node.name + ".")
        else:
            yield from functions(node, inside)


def body_lines(function: Function) -> int:
    """Lines from ``def`` to the end, the docstring not counted."""
    lines = (function.end_lineno or function.lineno) - function.lineno + 1
    first = function.body[0]
    if ast.get_docstring(function, clean=False) is not None:
        lines -= (first.end_lineno or first.lineno) - first.lineno + 1
    return lines


def long_functions(name: str, text: str, limit: int = FUNCTION_LINES) -> list[str]:
    return [
        f"{name}:{where}: {body_lines(function)} lines, at most {limit}"
        for where, function in functions(ast.parse(text))
        if body_lines(function) > limit
    ]


def drawers(name: str, text: str) -> list[str]:
    """Folders and modules named as drawers, also as the last word of a name (``dough_utils``)."""
    parts = PurePosixPath(name).with_suffix("").parts
    return [f"{name}: {part!r} does not say what is inside" for part in parts if part.split("_")[-1] in DRAWERS]


def stubs(name: str, text: str) -> list[str]:
    """Functions that only promise: they raise NotImplementedError."""
    return [
        f"{name}:{where}: is not written yet"
        for where, function in functions(ast.parse(text))
        for node in ast.walk(function)
        if isinstance(node, ast.Raise) and node.exc is not None and "NotImplementedError" in ast.unparse(node.exc)
    ]
