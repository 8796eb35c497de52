"""Tests say what kind of evidence they are, and run."""

from __future__ import annotations

import ast

from house.shape import functions

KINDS = ("Limit", "Hand", "Published", "Round trip", "Bad input", "Behaviour", "Property")
"""Limit: an extreme whose answer is plain. Hand: worked in the docstring. Published: source, table, row, tolerance.
Round trip: the inverse gives the input. Property: holds for every input.
Bad input, Behaviour: what the program does."""

SKIPS = frozenset({"skip", "skipif", "xfail", "importorskip", "skipTest"})


def without_kind(name: str, text: str) -> list[str]:
    """Test functions whose docstring does not begin with ``Kind: ``."""
    complaints = []
    for where, function in functions(ast.parse(text)):
        kind, colon, rest = (ast.get_docstring(function) or "").partition(":")
        if function.name.startswith("test_") and not (kind in KINDS and colon and rest.strip()):
            complaints.append(f"{name}:{where}: its docstring has to begin with one of {', '.join(KINDS)}, and a colon")
    return complaints


def skipped(name: str, text: str) -> list[str]:
    """Tests that are marked or told not to run."""
    complaints = []
    for where, function in functions(ast.parse(text)):
        marks = {node.attr for node in ast.walk(function) if isinstance(node, ast.Attribute)} & SKIPS
        complaints += [f"{name}:{where}: {mark} keeps it from being evidence" for mark in sorted(marks)]
    return complaints
