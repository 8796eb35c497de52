"""Kitchens as they were written down."""

from smallhours.records.models.revision import Revision


class KitchenRevision(Revision):
    """A kitchen as it stood from ``at`` on."""
