"""Plans of nights, with the revisions they were made from."""

from django.db import models


class PlanRecord(models.Model):
    """One plan of one night.

    ``made_from``: ``{"formulas": {slug: number}, "ingredients": {slug: number}, "kitchen": [slug, number]}``.
    ``published``: this is the plan the shift follows. Everything but that flag is fixed once written.
    """

    night = models.DateField(db_index=True)
    body = models.JSONField()
    made_at = models.DateTimeField()
    made_from = models.JSONField()
    author = models.CharField(max_length=60)
    published = models.BooleanField(default=False)

    class Meta:
        ordering = ("night", "id")

    def __str__(self) -> str:
        return f"plan {self.pk} of the night to {self.night}"
