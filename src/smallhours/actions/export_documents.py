"""Write documents of the store as TOML files, all of them into a folder, or one."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import Shelf, shelf
from smallhours.bakery.document import Document
from smallhours.bakery.orders.document import OrderBook
from smallhours.errors import BadInput, NotFound


@dataclass(frozen=True)
class ExportDocuments:
    """``folder``: where to. ``only``: one document, by its name here (``formula/ID``, ``kitchen``, ``kitchen/ID``,
    ``orders``, ``ingredients``, or a formula's id alone); all if not said. ``overwrite``: also files that are there."""

    folder: Path
    only: str | None = None
    overwrite: bool = False


def export_documents(command: ExportDocuments, actor: Actor = BAKER) -> tuple[Path, ...]:
    """Write the files; returns their paths. What is written can be imported again as it is.

    Raises NotFound for a document that is not there; BadInput if a file is already there or cannot be written
    (then none was); NotAllowed.
    """
    require(actor, "export")
    named = document_texts(command.only)
    targets = {command.folder / name: text for name, text in named.items()}
    there = [str(path) for path in targets if path.exists()]
    if there and not command.overwrite:
        raise BadInput(f"{', '.join(there)}: already there; choose another folder, or overwrite")
    for path, text in targets.items():
        _write(path, text)
    return tuple(targets)


def document_texts(only: str | None = None) -> dict[str, str]:
    """File name (with its folder) -> TOML text, for all documents or the one named. Raises NotFound."""
    held = shelf()
    documents = _documents(held)
    if only is None:
        return {name: document.to_toml() for name, document in documents.items()}
    for name in _names_of(only, held):
        if name in documents:
            return {name: documents[name].to_toml()}
    if "/" not in only and only not in ("kitchen", "orders", "ingredients"):
        held.formula(only)  # raises with near spellings
    raise NotFound(f"there is no document {only!r} in this store; it has: {', '.join(sorted(documents)) or 'none'}")


def _documents(held: Shelf) -> Mapping[str, Document]:
    documents: dict[str, Document] = {f"formulas/{slug}.toml": one for slug, one in held.formulas.items()}
    documents |= {f"kitchens/{slug}.toml": one for slug, one in held.kitchens.items()}
    if held.ingredients.ingredients or held.ingredients.prices:
        documents["ingredients.toml"] = held.ingredients
    if held.orders != OrderBook():
        documents["orders.toml"] = held.orders
    return documents


def _names_of(only: str, held: Shelf) -> tuple[str, ...]:
    if only == "kitchen":
        return (f"kitchens/{held.the_kitchen().id}.toml",)
    kind, _, slug = only.partition("/")
    return (f"{only}.toml", f"{kind}s/{slug}.toml") if slug else (f"{only}.toml", f"formulas/{only}.toml")


def _write(path: Path, text: str) -> None:
    """Write a whole file or leave what was there."""
    part = path.with_name(path.name + ".part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_text(text, encoding="utf-8", newline="\n")
        os.replace(part, path)
    except OSError as error:
        raise BadInput(f"{path}: cannot be written ({error.strerror})") from None
