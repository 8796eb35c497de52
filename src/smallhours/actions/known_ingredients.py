"""Which ingredients a formula may name, by what they are called."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.bakery.pantry import Pantry, Stuff
from smallhours.records import queries


@dataclass(frozen=True)
class KnownIngredients:
    """Every ingredient, the bakery's own first."""

    stuffs: tuple[Stuff, ...]

    @cached_property
    def _by_words(self) -> Mapping[str, tuple[str, ...]]:
        """Keys by what people may call them, whatever the case."""
        found: dict[str, tuple[str, ...]] = {}
        for stuff in self.stuffs:
            for words in dict.fromkeys((stuff.name.casefold(), stuff.name_es.casefold())):
                found[words] = (*found.get(words, ()), stuff.key)
        return {**found, **{stuff.key: (stuff.key,) for stuff in self.stuffs}}

    @cached_property
    def _by_key(self) -> Mapping[str, Stuff]:
        return {stuff.key: stuff for stuff in self.stuffs}

    def key_of(self, words: str) -> str | None:
        """The key of what is called so in either language, or has that key; None if nothing or several are."""
        found = self._by_words.get(" ".join(words.split()).casefold(), ())
        return found[0] if len(found) == 1 else None

    def name_of(self, key: str, lang: str) -> str:
        """What to call it so that ``key_of`` finds it again: its name, or its key where others are called the same."""
        stuff = self._by_key.get(key)
        if stuff is None:
            return key
        name = stuff.name_es if lang == "es" and stuff.name_es else stuff.name
        return name if self.key_of(name) == key else key

    def names(self, lang: str) -> dict[str, str]:
        """What to call each of them, by key."""
        return {stuff.key: self.name_of(stuff.key, lang) for stuff in self.stuffs}

    def near(self, words: str, lang: str, most: int = 3) -> tuple[str, ...]:
        """Names spelled most like it."""
        wanted = " ".join(words.split()).casefold()
        close = difflib.get_close_matches(wanted, list(self._by_words), n=2 * most, cutoff=0.6)
        close += [name for name in self._by_words if wanted and wanted in name and name not in close]
        keys = dict.fromkeys(key for name in close for key in self._by_words[name])
        return tuple(self.name_of(key, lang) for key in keys)[:most]


def known_ingredients(actor: Actor = BAKER) -> KnownIngredients:
    """All of them. Raises NotAllowed."""
    require(actor, "look")
    pantry = Pantry(queries.ingredient_list().ingredients)
    keys = list(pantry.keys())  # a pantry is no dictionary: it can be asked for more keys than it lists
    return KnownIngredients(tuple(pantry.find(key) for key in keys))
