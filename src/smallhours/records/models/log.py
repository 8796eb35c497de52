"""The log: who did what, when, to what, and why. Lines are added, never changed; a correction is a new line."""

from django.db import models


class LogLine(models.Model):
    """One thing that was done. ``before``/``after``: revision numbers, where the subject has revisions."""

    at = models.DateTimeField()
    author = models.CharField(max_length=60)
    verb = models.CharField(max_length=40)
    kind = models.CharField(max_length=20)
    slug = models.CharField(max_length=60, blank=True)
    before = models.PositiveIntegerField(null=True)
    after = models.PositiveIntegerField(null=True)
    reason = models.CharField(max_length=500, blank=True)
    details = models.JSONField(default=dict)

    class Meta:
        ordering = ("id",)
        indexes = (models.Index(fields=("kind", "slug"), name="log_by_subject"),)

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.author}: {self.verb} {self.slug}".rstrip()
