"""What every immutable revision of a document holds."""

from django.db import models


class Revision(models.Model):
    """One state of a document, never changed: an edit makes the next number. ``body`` is its JSON form."""

    slug = models.CharField(max_length=60)
    number = models.PositiveIntegerField()
    body = models.JSONField()
    author = models.CharField(max_length=60)
    at = models.DateTimeField()
    reason = models.CharField(max_length=500, blank=True)

    class Meta:
        abstract = True
        ordering = ("slug", "number")
        constraints = (
            models.UniqueConstraint(fields=("slug", "number"), name="%(class)s_one_of_a_number"),
            models.CheckConstraint(condition=models.Q(number__gte=1), name="%(class)s_numbers_from_one"),
        )

    def __str__(self) -> str:
        return f"{self.slug} r{self.number}"
