"""The bakery's own ingredients and what they cost."""

from django.db import models

from smallhours.records.models.revision import Revision


class IngredientRevision(Revision):
    """One ingredient as it stood from ``at`` on."""


class PriceRow(models.Model):
    """What a pack of an ingredient costs from a day on (no day: always)."""

    ingredient = models.CharField(max_length=60)
    pack_mass_g = models.FloatField()
    price = models.DecimalField(max_digits=10, decimal_places=4)
    currency = models.CharField(max_length=3)
    supplier = models.CharField(max_length=500, null=True)
    valid_from = models.DateField(null=True)

    class Meta:
        ordering = ("ingredient", "valid_from", "supplier", "pack_mass_g", "id")
        constraints = (
            models.CheckConstraint(condition=models.Q(pack_mass_g__gt=0), name="a_pack_has_mass"),
            models.CheckConstraint(condition=models.Q(price__gte=0), name="a_price_is_not_negative"),
        )

    def __str__(self) -> str:
        return f"{self.ingredient}: {self.price} {self.currency} for {self.pack_mass_g:g} g"
