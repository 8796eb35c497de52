"""The tables, one subject a file."""

from smallhours.records.models.formulas import FormulaRevision
from smallhours.records.models.ingredients import IngredientRevision, PriceRow
from smallhours.records.models.kitchens import KitchenRevision
from smallhours.records.models.log import LogLine
from smallhours.records.models.orders import ClosedDay, SingleRow, StandingRow
from smallhours.records.models.people import FailedTries, Person, Tablet
from smallhours.records.models.plans import PlanRecord

__all__ = [
    "ClosedDay",
    "FailedTries",
    "FormulaRevision",
    "IngredientRevision",
    "KitchenRevision",
    "LogLine",
    "Person",
    "PlanRecord",
    "PriceRow",
    "SingleRow",
    "StandingRow",
    "Tablet",
]
