"""Every printed word and sentence by key, in the languages of the sheets; numbers as each language writes them."""

from smallhours.sheets.words.speech import LANGUAGES, Speech, speech

__all__ = ["LANGUAGES", "Speech", "speech"]
