"""Headings of columns, in English or Spanish, matched loosely."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from smallhours.actions.tables.grid import Cell

TableKind = Literal["orders", "prices", "ingredients"]

# field -> headings that mean it, already loosened (lower case, no accents, one space)
ORDER_FIELDS: Mapping[str, tuple[str, ...]] = {
    "customer": ("customer", "client", "account", "for", "cliente", "para"),
    "product": ("product", "item", "article", "formula", "producto", "articulo", "pan"),
    "pieces": (
        "pieces",
        "quantity",
        "qty",
        "count",
        "number",
        "units",
        "piezas",
        "cantidad",
        "cant",
        "unidades",
        "uds",
    ),
    "date": ("date", "day of delivery", "delivery date", "fecha", "fecha de entrega"),
    "days": ("days", "weekdays", "weekday", "dias", "dia", "dias de la semana"),
    "due": ("due", "time", "due time", "ready by", "at", "hora", "hora de entrega", "entrega", "para las"),
    "free_from": ("free from", "without", "allergens to avoid", "sin", "libre de", "sin alergenos"),
}
PRICE_FIELDS: Mapping[str, tuple[str, ...]] = {
    "ingredient": ("ingredient", "item", "article", "product", "ingrediente", "articulo", "producto"),
    "pack": ("pack", "pack mass", "pack size", "mass", "weight", "size", "envase", "formato", "peso", "masa"),
    "pack_kg": ("pack kg", "mass kg", "weight kg", "kg", "envase kg", "peso kg", "kilos"),
    "pack_g": ("pack g", "mass g", "weight g", "g", "envase g", "peso g", "gramos"),
    "pack_lb": ("pack lb", "mass lb", "weight lb", "lb", "lbs"),
    "price": ("price", "cost", "pack price", "precio", "coste", "costo"),
    "price_per_kg": ("price per kg", "price kg", "per kg", "precio por kg", "precio kg", "precio kilo"),
    "currency": ("currency", "moneda", "divisa"),
    "supplier": ("supplier", "vendor", "proveedor"),
    "valid_from": ("valid from", "from", "since", "date", "valido desde", "desde", "fecha"),
}
INGREDIENT_FIELDS: Mapping[str, tuple[str, ...]] = {
    "id": ("id", "key", "code", "clave", "codigo"),
    "name": ("name", "ingredient", "nombre", "ingrediente"),
    "like": ("like", "reference", "based on", "como", "referencia"),
    "water_g": ("water", "moisture", "agua", "humedad"),
    "protein_g": ("protein", "proteina", "proteinas"),
    "fat_g": ("fat", "grasa", "grasas"),
    "carbohydrate_g": ("carbohydrate", "carbohydrates", "carbs", "hidratos", "carbohidratos", "hidratos de carbono"),
    "sugars_g": ("sugars", "sugar", "azucares", "azucar"),
    "fibre_g": ("fibre", "fiber", "fibra"),
    "ash_g": ("ash", "cenizas", "ceniza"),
    "salt_g": ("salt", "sal"),
    "allergens": ("allergens", "allergen", "alergenos", "alergeno"),
}
FIELDS: Mapping[TableKind, Mapping[str, tuple[str, ...]]] = {
    "orders": ORDER_FIELDS,
    "prices": PRICE_FIELDS,
    "ingredients": INGREDIENT_FIELDS,
}
# what a table must have to be of a kind: one of each group
NEEDED: Mapping[TableKind, tuple[tuple[str, ...], ...]] = {
    "orders": (("customer",), ("product",), ("pieces",), ("due",), ("date", "days")),
    "prices": (("ingredient",), ("price", "price_per_kg"), ("pack", "pack_kg", "pack_g", "pack_lb", "price_per_kg")),
    "ingredients": (("id", "name"),),
}


@dataclass(frozen=True)
class Headings:
    """Where the headings are (row index) and which column holds which field; ``ignored``: headings not known."""

    row: int
    columns: Mapping[str, int]
    ignored: tuple[str, ...]


def loosened(text: object) -> str:
    """A text without case, accents, brackets, units in brackets' punctuation and doubled spaces.

    >>> loosened("Precio/kg (€)")
    'precio kg'
    """
    plain = unicodedata.normalize("NFKD", str(text)).encode("ascii", "ignore").decode().lower()
    return " ".join(re.sub(r"[^a-z0-9]+", " ", plain).split())


def fields_in(row: Sequence[Cell], kind: TableKind) -> dict[str, int]:
    """field -> column, for the headings of one row; the first column of a name wins."""
    found: dict[str, int] = {}
    names = {name: field for field, many in FIELDS[kind].items() for name in (*many, loosened(field))}
    for column, cell in enumerate(row):
        if isinstance(cell, str):
            said = loosened(cell).removesuffix(" g per 100 g").removesuffix(" g 100 g")
            field = names.get(said) or names.get(said.removesuffix(" s").removesuffix(" g"))
            if field is not None and field not in found:
                found[field] = column
    return found


def has_all(found: Mapping[str, int], kind: TableKind) -> bool:
    """Whether the fields a kind must have are there."""
    return all(any(field in found for field in group) for group in NEEDED[kind])


def missing(found: Mapping[str, int], kind: TableKind) -> list[str]:
    """The fields a kind must have that are not there."""
    return [" or ".join(group) for group in NEEDED[kind] if not any(field in found for field in group)]


def most_known(row: Sequence[Cell]) -> int:
    """The most headings any kind of table knows in this row."""
    return max(len(fields_in(row, kind)) for kind in FIELDS)


def kind_of_table(rows: Sequence[Sequence[Cell]]) -> TableKind | None:
    """What a grid is: the first kind whose needed headings are in one of its first rows."""
    for row in rows[:10]:
        for kind in FIELDS:
            if has_all(fields_in(row, kind), kind):
                return kind
    return None


def headings(rows: Sequence[Sequence[Cell]], kind: TableKind) -> Headings | None:
    """The row of headings among the first ten: the one that knows the most fields; None if there is none."""
    scored = [(len(fields_in(row, kind)), -index) for index, row in enumerate(rows[:10])]
    if not scored or max(scored)[0] == 0:
        return None
    index = -max(scored)[1]
    columns = fields_in(rows[index], kind)
    ignored = tuple(
        str(cell) for column, cell in enumerate(rows[index]) if cell is not None and column not in columns.values()
    )
    return Headings(index, columns, ignored)
