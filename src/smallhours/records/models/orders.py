"""The order book: standing orders, single orders, closed days. Their times are on the kitchen's clock."""

from django.db import models


class StandingRow(models.Model):
    """The same order on the same weekdays; ``days`` is a list of ``mon`` .. ``sun``, ``free_from`` one of allergens."""

    customer = models.CharField(max_length=500)
    product = models.CharField(max_length=60)
    days = models.JSONField()
    due = models.TimeField()
    pieces = models.PositiveIntegerField()
    free_from = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"{self.customer}: {self.pieces} x {self.product}, {', '.join(self.days)} {self.due:%H:%M}"


class SingleRow(models.Model):
    """One order for one day."""

    customer = models.CharField(max_length=500)
    product = models.CharField(max_length=60)
    date = models.DateField(db_index=True)
    due = models.TimeField()
    pieces = models.PositiveIntegerField()
    free_from = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"{self.customer}: {self.pieces} x {self.product}, {self.date} {self.due:%H:%M}"


class ClosedDay(models.Model):
    """A day on which nothing is sold."""

    date = models.DateField(unique=True)

    class Meta:
        ordering = ("date",)

    def __str__(self) -> str:
        return f"closed on {self.date}"
