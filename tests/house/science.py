"""The science layer: every public function names its source and its units, every number its unit."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

from house.shape import Function, functions

UNIT_WORDS = """
c k  g kg mg t  mm cm m um nm  m2 cm2 mm2  m3 cm3 mm3 ml l  s min h days  j kj mj w kw wh kwh
pa kpa hpa bar n  mol mmol rad rpm  ppm percent fraction ratio count number factor ph aw log10
"""
UNITS = frozenset(UNIT_WORDS.split())
"""What the last word of a name may be: a unit (``_j_per_g_k`` ends in ``_k``), or a word for a number without one."""

SOURCE = re.compile(r"(?im)^\s*sources?\b")
UNIT_NAMED = re.compile(
    r"\[[^\]\n]+\]|°C|%|\bpercent|\bfraction|\bratio|\bdimensionless|\bshares?\b|\bcount\b|\bnumber of|\bseconds?\b|"
    r"\bgrams?\b|\bkelvins?\b|\bjoules?\b|\bwatts?\b|\bpascals?\b|(?<!\w)(?:K|g|kg|mm|m|s|J|kJ|W|Pa|kPa|h|m²|m³|W/m|J/)(?!\w)"
)
MORE_UNITS = re.compile(r"Callable|tuple\[float, float")
NUMBERS = re.compile(r"\b(?:float|floating|FloatArray|Floats?|NDArray|ArrayLike)\b")


def undocumented(name: str, text: str) -> list[str]:
    """Public module-level functions of numbers whose docstring lacks a source or a unit.

    A guard hands back what it was given, so there is nothing to cite.
    """
    complaints = []
    for function in public_functions(text):
        signature = ast.unparse(function.args) + " " + (ast.unparse(function.returns) if function.returns else "")
        if not NUMBERS.search(signature) or is_guard(function):
            continue
        docstring = ast.get_docstring(function) or ""
        if not SOURCE.search(docstring):
            complaints.append(f"{name}:{function.name}: its docstring names no source (a line that begins with Source)")
        if not UNIT_NAMED.search(docstring):
            complaints.append(f"{name}:{function.name}: its docstring names no unit")
    return complaints


def public_functions(text: str) -> Iterator[Function]:
    for node in ast.parse(text).body:
        if isinstance(node, Function) and not node.name.startswith("_"):
            yield node


def without_unit(name: str, text: str) -> list[str]:
    """Parameters of public functions and fields of public classes that are bare numbers and do not end in a unit.

    Guards may check a number of any unit, and the points of a curve have more units than one name can hold.
    """
    return [
        f"{name}:{where}:{parameter}: a bare number whose name ends in no unit"
        for where, parameter, annotation in _numbers(ast.parse(text))
        if NUMBERS.search(annotation) and not MORE_UNITS.search(annotation) and not has_unit(parameter)
    ]


def is_guard(function: Function) -> bool:
    """Named ``checked`` or ``checked_...``: gives back its argument or raises."""
    return function.name.split("_")[0] == "checked"


def has_unit(parameter: str) -> bool:
    words = parameter.lower().split("_")
    return len(words) > 1 and words[-1] in UNITS


def _numbers(tree: ast.Module) -> Iterator[tuple[str, str, str]]:
    for where, function in functions(tree):
        if any(part.startswith("_") for part in where.split(".")) or is_guard(function):
            continue
        arguments = function.args
        for argument in (*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs):
            if argument.annotation is not None:
                yield where, argument.arg, ast.unparse(argument.annotation)
    for node in tree.body:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for field in node.body:
                if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name):
                    yield node.name, field.target.id, ast.unparse(field.annotation)
