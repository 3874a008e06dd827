"""Staff of the office."""

from __future__ import annotations

import uuid

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils import timezone
from django.utils.crypto import salted_hmac

from me_office.accounts.roles import CASE_ROLES, Role
from me_office.audit.ids import new_id


class Staff(AbstractUser):
    """A person who signs in. Roles are groups (see `roles`)."""

    watched = True
    kept_for_ever = True

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    display_name = models.CharField(max_length=120, help_text="As printed: Dr. I. Vasko")
    job_title = models.CharField(max_length=120, blank=True)
    credentials = models.CharField(max_length=60, blank=True, help_text="As printed: MD")
    # The name without case, accents, blanks and points, made by the database itself.
    name_key = models.GeneratedField(
        expression=models.Func(
            "display_name", function="accounts_name_key", output_field=models.TextField()
        ),
        output_field=models.TextField(),
        db_persist=True,
    )
    version = models.PositiveIntegerField(default=1, editable=False)
    # Set with every password that somebody else has seen.
    must_change_password = models.BooleanField(default=False, editable=False)

    # Whoever speaks to the browser, or holds keys by mistake, sets off letters (WCAG 2.2, 2.1.4).
    single_keys = models.BooleanField("single-key shortcuts", default=True, db_default=True)

    # Every sign-in holds it: raised, it ends all of them (`actions`).
    session_generation = models.PositiveIntegerField(default=0, editable=False)

    # The roles, once they were read.
    _roles: frozenset[Role] | None = None

    class Meta:
        verbose_name = "member of staff"
        verbose_name_plural = "staff"
        ordering = ["display_name", "id"]
        indexes = [models.Index(fields=["is_active", "display_name", "id"], name="staff_by_name")]
        constraints = [
            # Closed accounts too: what they signed goes on carrying their name.
            models.UniqueConstraint(
                fields=["name_key"],
                condition=~models.Q(name_key=""),
                name="staff_printed_name_once",
                violation_error_message="Somebody in this office has this printed name.",
            )
        ]

    def __str__(self) -> str:
        return self.display_name or self.username

    def _get_session_auth_hash(self, secret: str | bytes | None = None) -> str:
        # Django's own holds the password alone: a closed account would let its old sign-ins in
        # again when it is opened, and a stolen one would outlive the second factor.
        held = f"{self.password} {self.session_generation}"
        salt = "me_office.accounts.sessions"
        return salted_hmac(salt, held, secret=secret, algorithm="sha256").hexdigest()

    @property
    def roles(self) -> frozenset[Role]:
        """The person's roles, read once per instance."""
        known = self._roles
        if known is None:
            # With the person of a request they are read already (`backends`).
            read: list[str] | None = getattr(self, "role_names", None)
            names = self.groups.values_list("name", flat=True) if read is None else read
            known = frozenset(Role(name) for name in names if name in set(Role))
            self._roles = known
        return known

    def has_role(self, *roles: Role) -> bool:
        """Tell whether the person holds one of `roles`."""
        return bool(self.roles & frozenset(roles))

    @property
    def works_on_cases(self) -> bool:
        """Whether any role of theirs opens cases; an administrator's alone does not."""
        return self.has_role(*CASE_ROLES)

    @property
    def role_words(self) -> str:
        """The roles in words, in a fixed order."""
        return ", ".join(role.value for role in Role if role in self.roles)

    @property
    def printed_name(self) -> str:
        """Name with credentials, as a report prints it."""
        return f"{self.display_name}, {self.credentials}" if self.credentials else str(self)


class TryCount(models.Model):
    """How many wrong passwords or codes were given in a row, under one key (see `limits`).

    `key` is a digest. Rows are written by `tries` alone and cleared when they are forgotten.
    """

    key = models.CharField(max_length=64, unique=True)
    failures = models.PositiveIntegerField(default=0)
    # How often somebody was told to wait since the last try.
    held_back = models.PositiveIntegerField(default=0)
    last_at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [models.Index(fields=["last_at"], name="try_count_by_age")]

    def __str__(self) -> str:
        return f"{self.failures} failures"


def staff_named(staff_id: uuid.UUID | str) -> Staff | None:
    """Return the member of staff with this id, or None."""
    return Staff.objects.filter(pk=staff_id).first()
