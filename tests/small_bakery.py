"""A very small invented bakery as texts: two formulas, a kitchen, orders, an ingredient of its own."""

from __future__ import annotations

from pathlib import Path

LOAF = """
id = "hearth-loaf"
name = "Hearth loaf"
pan = "tray"
pieces_per_pan = 6

[output]
piece_mass = "900 g"

[[parts]]
id = "dough"
name = "Dough"
target_temp = "24 °C"
lines = [
  { ingredient = "bread-flour", percent = 100 },
  { ingredient = "water", percent = 65, tempered = true },
  { ingredient = "salt", percent = 2 },
  { ingredient = "yeast-instant", percent = 0.8 },
]

[[stages]]
kind = "mix"
low = "3 min"
high = "5 min"

[[stages]]
kind = "rest"
duration = "1 h"
min = "50 min"
max = "80 min"
at_temp = "24 °C"

[[stages]]
kind = "divide"
per_piece = "20 s"

[[stages]]
kind = "proof"
duration = "1 h"
min = "45 min"
max = "75 min"
at_temp = "24 °C"

[[stages]]
kind = "bake"
duration = "40 min"
set_temp = "230 °C"

[[stages]]
kind = "cool"
duration = "1 h"
max = "6 h"
"""

ROLL = """
id = "hearth-roll"
name = "Hearth roll"
base = "hearth-loaf"
pan = "tray"
pieces_per_pan = 20

[output]
piece_mass = "80 g"

[[stages]]
kind = "divide"
per_piece = "8 s"

[[stages]]
kind = "proof"
duration = "50 min"
max = "70 min"
at_temp = "24 °C"

[[stages]]
kind = "bake"
duration = "18 min"
set_temp = "230 °C"

[[stages]]
kind = "cool"
duration = "30 min"
max = "8 h"
"""

KITCHEN = """
id = "corner-bakery"
name = "Corner bakery"
timezone = "Europe/Madrid"
temperatures = { room = "21 °C", flour = "20 °C", tap_water = "14 °C" }
mixers = [{ id = "spiral", name = "Spiral", bowl = "60 l", min_dough = "4 kg", max_dough = "40 kg", friction_k = 12 }]
benches = [{ id = "bench", name = "Bench", places = 2 }]
racks = [{ id = "rack", name = "Rack", count = 2, tray_places = 18 }]
pans = [{ id = "tray", name = "Tray", count = 30 }]
people = [{ id = "ines", name = "Ines", role = "head-baker", hours = [{ start = "00:00:00", end = "09:00:00" }] }]

[[ovens]]
id = "deck"
name = "Deck oven"
decks = [{ id = "deck-1", tray_places = 4 }]
heat_k_per_min = 5
cool_k_per_min = 2
"""

ORDERS = """
[[standing]]
customer = "Shop"
product = "hearth-loaf"
due = 07:30:00
pieces = 24

[[standing]]
customer = "Van"
product = "hearth-roll"
days = ["mon", "tue", "wed", "thu", "fri"]
due = 06:30:00
pieces = 80

[[single]]
customer = "Café Río"
product = "hearth-loaf"
date = 2026-01-15
due = 07:30:00
pieces = 6
"""

INGREDIENTS = """
[[ingredients]]
id = "mill-white"
name = "White flour of the mill"
like = "bread-flour"

[[prices]]
ingredient = "mill-white"
pack_mass = "25 kg"
price = "18.90"
currency = "EUR"
"""

FILES = {
    "formulas/hearth-loaf.toml": LOAF,
    "formulas/hearth-roll.toml": ROLL,
    "kitchen.toml": KITCHEN,
    "orders.toml": ORDERS,
    "ingredients.toml": INGREDIENTS,
}


def written_to(folder: Path) -> Path:
    """The bakery as files in a folder."""
    for name, text in FILES.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    return folder
