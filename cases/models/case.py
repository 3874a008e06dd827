"""The case, the decedent and the people assigned."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.contrib.postgres.fields import ArrayField
from django.contrib.postgres.indexes import GinIndex, OpClass
from django.db import models
from django.db.models.functions import Upper

from cases.rules.case import ALLOWED_MOVES, CaseState, IdentityState
from cases.rules.decedent import HISPANIC_ORIGINS, RACES, age_words
from me_office.audit.models import Record
from me_office.audit.tables import must, once_active, points_to, staff_chosen, staff_if_any
from me_office.moments import clock_words
from me_office.worded import as_choices


def trigrams(column: str, name: str) -> GinIndex:
    """An index in which every three letters of a column are looked up.

    It takes an entry at once: kept aside until some thousand have gathered, as is usual, they
    would all be read by each search.
    """
    return GinIndex(OpClass(Upper(column), "gin_trgm_ops"), name=name, fastupdate=False)


class Case(Record):
    """One death, from first call to testimony."""

    number = models.CharField(max_length=30, null=True, blank=True, unique=True)
    number_year = models.PositiveIntegerField(null=True, blank=True)
    number_running = models.PositiveIntegerField(null=True, blank=True)
    state_moves = ALLOWED_MOVES
    state = models.CharField(
        max_length=20, choices=as_choices(CaseState), default=CaseState.REPORTED.value
    )
    heading = models.CharField(
        max_length=160, help_text="The circumstances in a few words: fall at a grain store"
    )
    restricted = models.BooleanField(default=False)
    reported_at = models.DateTimeField()
    place_of_death = models.CharField(max_length=240, blank=True)
    investigator = staff_if_any()
    pathologist = staff_if_any()
    signed_at = models.DateTimeField(null=True, blank=True)
    # Follows the body's receipt, releases and returns: what the lists of bodies read.
    body_in_since = models.DateTimeField(
        "body in the office since", null=True, blank=True, editable=False
    )

    # Who may know of it, as `cases.access.note_shown` notes for the page that it was read for.
    shown_to: UUID | None = None

    class Meta(Record.Meta):
        permissions = [("work_on_case", "Belongs to the named team of a restricted case")]
        ordering = ["-reported_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["number_year", "number_running"], name="case_number_once_a_year"
            ),
            must(
                "case_number_whole",
                models.Q(number=None, number_year=None, number_running=None)
                | models.Q(
                    number__isnull=False, number_year__isnull=False, number_running__isnull=False
                ),
            ),
            must("case_state_known", models.Q(state__in=[state.value for state in CaseState])),
            must(
                "case_signed_has_time",
                ~models.Q(state=CaseState.SIGNED.value) | models.Q(signed_at__isnull=False),
            ),
        ]
        indexes = [
            models.Index(fields=["-reported_at", "-id"], name="case_by_report"),
            models.Index(fields=["state", "-reported_at", "-id"], name="case_by_state"),
            models.Index(
                fields=["investigator", "state", "-reported_at"], name="case_by_investigator"
            ),
            models.Index(
                fields=["pathologist", "state", "-reported_at"], name="case_by_pathologist"
            ),
            models.Index(
                fields=["body_in_since", "id"],
                condition=models.Q(body_in_since__isnull=False),
                name="case_body_here",
            ),
            trigrams("number", "case_number_search"),
            trigrams("heading", "case_heading_search"),
            trigrams("place_of_death", "case_place_search"),
        ]

    def __str__(self) -> str:
        return self.label

    @property
    def label(self) -> str:
        """The case number, or what stands for it before there is one."""
        if self.number:
            return self.number
        at = clock_words(self.reported_at, "%d %b %Y, %H:%M", settings.OFFICE_ZONE)
        return f"Report of {at}"

    @property
    def state_words(self) -> str:
        """The state as a person reads it."""
        return CaseState(self.state).words

    @property
    def is_locked(self) -> bool:
        """Tell whether the case file is signed."""
        return self.state == CaseState.SIGNED


class CaseRecord(Record):
    """A record that belongs to one case."""

    case = points_to(Case, "%(class)s_set")

    class Meta(Record.Meta):
        abstract = True


class CaseNumberCounter(models.Model):
    """The last number given in a year; its row is locked while a number is given: no gaps."""

    year = models.PositiveIntegerField(primary_key=True)
    last = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.year}: {self.last}"


class Decedent(Record):
    """Who died, as far as it is known."""

    SEXES = [
        ("", "not stated"),
        ("female", "female"),
        ("male", "male"),
        ("intersex", "intersex"),
        ("undetermined", "undetermined"),
    ]

    case = models.OneToOneField(Case, models.PROTECT, related_name="decedent", editable=False)
    family_name = models.CharField(max_length=80, blank=True)
    given_names = models.CharField(max_length=80, blank=True)
    working_name = models.CharField(
        max_length=120, blank=True, help_text="Used while the name is not known: Unknown man, weir"
    )
    also_known_as = models.CharField(max_length=160, blank=True)
    sex = models.CharField(max_length=20, choices=SEXES, blank=True)
    born_on = models.DateField(null=True, blank=True)
    age_years = models.DecimalField(
        max_digits=9, decimal_places=6, null=True, blank=True, help_text="Apparent or reported age"
    )
    age_years_read = models.CharField(
        max_length=30, blank=True, help_text="The age as it was given, where not in years: 10 days"
    )
    # Items 52 and 53 of the standard certificate.
    hispanic_origin = models.CharField(max_length=20, choices=HISPANIC_ORIGINS, blank=True)
    hispanic_origin_other = models.CharField(max_length=80, blank=True)
    race = ArrayField(models.CharField(max_length=40, choices=RACES), default=list, blank=True)
    race_words = models.CharField(max_length=160, blank=True)
    home_address = models.CharField(max_length=240, blank=True)
    description = models.TextField(
        blank=True, help_text="Hair, eyes, build, scars, tattoos: what helps to know this person"
    )
    identity = models.CharField(
        max_length=20, choices=as_choices(IdentityState), default=IdentityState.UNKNOWN.value
    )
    search_name = models.CharField(max_length=400, blank=True, editable=False)

    class Meta(Record.Meta):
        constraints = [
            must(
                "decedent_age_possible",
                models.Q(age_years=None) | models.Q(age_years__gte=0, age_years__lte=130),
            ),
        ]
        indexes = [
            trigrams("search_name", "decedent_name_search"),
        ]

    def __str__(self) -> str:
        return self.full_name

    @property
    def full_name(self) -> str:
        """The name, the working name, or that it is not known."""
        name = f"{self.given_names} {self.family_name}".strip()
        return name or self.working_name or "Name not known"

    @property
    def age_words(self) -> str:
        """The age in the unit people use: 10 days, 3 months, 58 years; empty when not known."""
        if self.age_years is None:
            return ""
        return age_words(float(self.age_years), self.age_years_read)

    @property
    def race_and_origin_words(self) -> str:
        """Race and Hispanic origin as the certificate asks them; empty when not stated."""
        words = dict(RACES)
        races = [words.get(one, one) for one in self.race]
        if self.race_words:
            races.append(self.race_words)
        origin = self.hispanic_origin_other or self.get_hispanic_origin_display()
        said = [", ".join(races), f"Hispanic origin: {origin}" if self.hispanic_origin else ""]
        return "; ".join(part for part in said if part)


class TeamMember(CaseRecord):
    """A person on the named team of a restricted case; the object permission follows this row."""

    member = staff_chosen()

    class Meta(Record.Meta):
        constraints = [once_active("team_member_once", "case", "member")]

    def __str__(self) -> str:
        return f"{self.member} on {self.case}"
