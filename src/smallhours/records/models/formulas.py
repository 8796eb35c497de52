"""Formulas as they were written down."""

from smallhours.records.models.revision import Revision


class FormulaRevision(Revision):
    """A formula as it stood from ``at`` on."""
