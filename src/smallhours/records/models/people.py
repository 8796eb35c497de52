"""Who works with the store: people, the tablets they share, and how often signing in has failed."""

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models


class People(BaseUserManager):
    """Finds people by name, however it is capitalised."""

    def get_by_natural_key(self, username: str) -> "Person":
        """The person of a name."""
        return self.get(key=username.casefold())


class Person(AbstractBaseUser):
    """Somebody with an account. It is never deleted, because the log names it; ``is_active``: may still sign in.

    ``key``: the name as it is compared. ``pin``: the hash of the number for shared tablets, empty if there is none.
    ``stamp``: goes up whenever a sign-in made before must not count any longer.
    """

    name = models.CharField(max_length=60)
    key = models.CharField(max_length=120, unique=True)
    role = models.CharField(max_length=20)
    pin = models.CharField(max_length=200, blank=True)
    stamp = models.PositiveIntegerField(default=1)
    is_active = models.BooleanField(default=True)
    added_at = models.DateTimeField()

    USERNAME_FIELD = "key"
    REQUIRED_FIELDS = ("name", "role")
    objects = People()

    class Meta:
        ordering = ("key",)
        constraints = (
            models.CheckConstraint(
                condition=models.Q(role__in=("head-baker", "baker", "office", "reader")), name="a_person_has_a_role"
            ),
        )

    def __str__(self) -> str:
        return f"{self.name} ({self.role})"


class Tablet(models.Model):
    """A shared tablet. Of its code and its token only hashes are kept; ``code``: until the tablet has used it."""

    name = models.CharField(max_length=60)
    code = models.CharField(max_length=64, null=True, unique=True)
    code_until = models.DateTimeField(null=True)
    token = models.CharField(max_length=64, null=True, unique=True)
    added_at = models.DateTimeField()
    added_by = models.CharField(max_length=60)
    paired_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(null=True)
    revoked_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return self.name


class FailedTries(models.Model):
    """How often in a row something did not let somebody in; ``subject`` is a keyed hash, so it tells no names."""

    subject = models.CharField(max_length=64, unique=True)
    count = models.PositiveIntegerField()
    last_at = models.DateTimeField()

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"{self.count} failed tries until {self.last_at:%Y-%m-%d %H:%M}"
