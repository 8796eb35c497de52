"""What a baker asks of a dough, each question one function with an ``Answer``."""

from smallhours.forecast.questions.air import what_does_the_air_do
from smallhours.forecast.questions.answer import Answer, Asked, Number
from smallhours.forecast.questions.bake import Load, how_long_to_bake
from smallhours.forecast.questions.butter import how_soft_is_butter
from smallhours.forecast.questions.chill import how_long_to_chill
from smallhours.forecast.questions.choose import bake_or_retard
from smallhours.forecast.questions.cool import when_is_it_cool
from smallhours.forecast.questions.dose import how_much_yeast
from smallhours.forecast.questions.flour import new_flour, other_whole_grain
from smallhours.forecast.questions.here import Here
from smallhours.forecast.questions.keep import may_it_be_kept
from smallhours.forecast.questions.night import fridge_failed, what_does_a_night_do
from smallhours.forecast.questions.ready import when_ready
from smallhours.forecast.questions.size import what_if_pieces_are
from smallhours.forecast.questions.starter import when_is_the_starter_ready
from smallhours.forecast.questions.sweeter import what_if_sugar_and_salt_are
from smallhours.forecast.questions.temper import Tempered, how_long_to_temper

__all__ = [
    "Answer",
    "Asked",
    "Here",
    "Load",
    "Number",
    "Tempered",
    "bake_or_retard",
    "fridge_failed",
    "how_long_to_bake",
    "how_long_to_chill",
    "how_long_to_temper",
    "how_much_yeast",
    "how_soft_is_butter",
    "may_it_be_kept",
    "new_flour",
    "other_whole_grain",
    "what_does_a_night_do",
    "what_does_the_air_do",
    "what_if_pieces_are",
    "what_if_sugar_and_salt_are",
    "when_is_it_cool",
    "when_is_the_starter_ready",
    "when_ready",
]
