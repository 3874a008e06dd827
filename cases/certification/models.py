"""Cause and manner of death."""

from __future__ import annotations

from django.db import models

from cases.certification import items
from cases.certification.rules import MANNERS, Manner, manner_words
from cases.models import Case, CaseRecord
from me_office.audit.models import Record
from me_office.audit.tables import must, staff_chosen, staff_who


class Certification(Record):
    """The pathologist's opinion on cause and manner; line a is due to b, b to c, c to d."""

    case = models.OneToOneField(Case, models.PROTECT, related_name="certification", editable=False)
    cause_a = models.CharField("immediate cause", max_length=240, blank=True)
    interval_a = models.CharField("interval a", max_length=60, blank=True)
    cause_b = models.CharField("due to", max_length=240, blank=True)
    interval_b = models.CharField("interval b", max_length=60, blank=True)
    cause_c = models.CharField("due to (c)", max_length=240, blank=True)
    interval_c = models.CharField("interval c", max_length=60, blank=True)
    cause_d = models.CharField("due to (d)", max_length=240, blank=True)
    interval_d = models.CharField("interval d", max_length=60, blank=True)
    contributing = models.TextField("other significant conditions", blank=True)
    manner = models.CharField(max_length=14, choices=MANNERS, default=Manner.PENDING.value)
    basis = models.TextField(blank=True, help_text="What the opinion rests on")
    # Items 14 to 17, 29 and 30. Who pronounced, and when (24 to 26), stands in the report of death.
    death_on = models.DateField(null=True, blank=True)
    death_on_is = models.CharField(max_length=8, choices=items.ACTUAL_OR_PRESUMED, blank=True)
    death_time = models.TimeField(null=True, blank=True)
    death_time_is = models.CharField(max_length=8, choices=items.ACTUAL_OR_PRESUMED, blank=True)
    death_place_kind = models.CharField(max_length=20, choices=items.PLACES_OF_DEATH, blank=True)
    death_place_name = models.CharField(max_length=240, blank=True)
    death_city = models.CharField(max_length=120, blank=True)
    death_county = models.CharField(max_length=120, blank=True)
    death_state = models.CharField(max_length=60, blank=True)
    death_zip = models.CharField(max_length=20, blank=True)
    # Items 33 to 36.
    autopsy = models.CharField(max_length=3, choices=items.YES_NO, blank=True)
    autopsy_available = models.CharField(max_length=3, choices=items.YES_NO, blank=True)
    tobacco = models.CharField(max_length=8, choices=items.TOBACCO, blank=True)
    pregnancy = models.CharField(max_length=1, choices=items.PREGNANCY, blank=True)
    # Items 38 to 44.
    injury_on = models.DateField(null=True, blank=True)
    injury_time = models.TimeField(null=True, blank=True)
    injury_at_words = models.CharField(
        max_length=120,
        blank=True,
        help_text="Where no date or time can be given: “unknown”, “between Friday and Sunday”",
    )
    injury_place = models.CharField(max_length=160, blank=True)
    injury_at_work = models.CharField(max_length=8, choices=items.YES_NO_UNKNOWN, blank=True)
    injury_street = models.CharField(max_length=240, blank=True)
    injury_city = models.CharField(max_length=120, blank=True)
    injury_state = models.CharField(max_length=60, blank=True)
    injury_zip = models.CharField(max_length=20, blank=True)
    injury_how = models.CharField(max_length=240, blank=True)
    transport_role = models.CharField(max_length=10, choices=items.TRANSPORT_ROLES, blank=True)
    transport_other = models.CharField(max_length=60, blank=True)
    # Items 45 and 48; name, address and title (46, 47) follow from who states it and the office.
    certifier_type = models.CharField(
        "type of certifier",
        max_length=12,
        choices=items.CERTIFIERS,
        blank=True,
        default="",
        db_default="",
    )
    certifier_license = models.CharField(
        "license number of the certifier", max_length=40, blank=True, default="", db_default=""
    )
    stated_at = models.DateTimeField()
    stated_by = staff_chosen()

    class Meta(Record.Meta):
        indexes = [
            models.Index(
                fields=["created_at", "id"],
                condition=models.Q(manner=Manner.PENDING.value),
                name="certification_pending",
            ),
            models.Index(fields=["stated_at", "id"], name="certification_by_statement"),
            # The license with which a person certified last.
            models.Index(fields=["stated_by", "-stated_at"], name="certification_by_certifier"),
        ]
        constraints = [
            must(
                "certification_manner_needs_cause",
                models.Q(manner=Manner.PENDING.value) | ~models.Q(cause_a=""),
                "State the cause, or leave the manner pending.",
            ),
            must(
                "certification_lines_without_gap",
                (models.Q(cause_b="") | ~models.Q(cause_a=""))
                & (models.Q(cause_c="") | ~models.Q(cause_b=""))
                & (models.Q(cause_d="") | ~models.Q(cause_c="")),
                "Fill the lines from the top, without a gap.",
            ),
            must(
                "certification_findings_of_an_autopsy",
                models.Q(autopsy_available="") | models.Q(autopsy="yes"),
                "Item 34 is asked only when an autopsy was performed.",
            ),
            must(
                "certification_other_role_named",
                models.Q(transport_other="") | models.Q(transport_role="other"),
                "Another role is named only where the role is “other”.",
            ),
        ]

    def __str__(self) -> str:
        return f"Manner {self.manner_words}"

    @property
    def manner_words(self) -> str:
        """The manner in the words of the certificate."""
        return manner_words(self.manner)

    @property
    def lines(self) -> list[tuple[str, str, str]]:
        """The filled lines of part I: (letter, cause, interval)."""
        return [
            (letter, cause, interval)
            for letter, cause, interval in (
                ("a", self.cause_a, self.interval_a),
                ("b", self.cause_b, self.interval_b),
                ("c", self.cause_c, self.interval_c),
                ("d", self.cause_d, self.interval_d),
            )
            if cause
        ]


class Particulars(Record):
    """Items of the certificate that others state: the family, the funeral home, the registrar.

    What the office knows anyway (name, birth, race, disposition) stands where it was recorded.
    """

    # A Social Security number and the parents' names go into no packet.
    stays_inside = True

    case = models.OneToOneField(
        Case, models.PROTECT, related_name="certificate_particulars", editable=False
    )
    social_security = models.CharField(
        "Social Security number", max_length=11, blank=True, help_text="Item 3: nine digits"
    )
    birthplace = models.CharField(
        max_length=120, blank=True, help_text="Item 6: city and state, or country"
    )
    home_state = models.CharField(max_length=60, blank=True)
    home_county = models.CharField(max_length=120, blank=True)
    home_city = models.CharField(max_length=120, blank=True)
    home_street = models.CharField(max_length=240, blank=True)
    home_apartment = models.CharField(max_length=40, blank=True)
    home_zip = models.CharField(max_length=20, blank=True)
    inside_city = models.CharField(
        "inside city limits", max_length=8, choices=items.YES_NO_UNKNOWN, blank=True
    )
    armed_forces = models.CharField(
        "ever in the US armed forces", max_length=8, choices=items.YES_NO_UNKNOWN, blank=True
    )
    marital_status = models.CharField(max_length=22, choices=items.MARITAL, blank=True)
    spouse = models.CharField("surviving spouse", max_length=160, blank=True)
    father = models.CharField(max_length=160, blank=True)
    mother = models.CharField(max_length=160, blank=True)
    informant = models.CharField(max_length=160, blank=True)
    informant_relation = models.CharField(max_length=120, blank=True)
    informant_address = models.CharField(max_length=240, blank=True)
    funeral_licensee = models.CharField(max_length=160, blank=True)
    funeral_license = models.CharField(max_length=40, blank=True)
    pronouncer_license = models.CharField(
        "license number of who pronounced", max_length=40, blank=True
    )
    pronouncer_signed_on = models.DateField("signed by who pronounced", null=True, blank=True)
    education = models.CharField(max_length=12, choices=items.EDUCATION, blank=True)
    occupation = models.CharField("usual occupation", max_length=120, blank=True)
    industry = models.CharField("kind of business or industry", max_length=120, blank=True)
    filed_on = models.DateField("filed with the registrar", null=True, blank=True)
    state_file_number = models.CharField(max_length=40, blank=True)

    class Meta(Record.Meta):
        verbose_name_plural = "particulars"

    def __str__(self) -> str:
        return "Particulars for the certificate"


class FollowUp(CaseRecord):
    """One thing that a pending certificate waits for, and when somebody asks again."""

    stays_inside = True

    AWAITED = [
        ("toxicology", "toxicology"),
        ("histology", "histology"),
        ("neuropathology", "neuropathology"),
        ("microbiology", "microbiology"),
        ("chemistry", "chemistry"),
        ("genetics", "genetic testing"),
        ("police report", "police report"),
        ("medical records", "medical records"),
        ("scene", "scene, or statements of witnesses"),
        ("identification", "identification"),
        ("other", "other"),
    ]

    awaited = models.CharField("what is awaited", max_length=20, choices=AWAITED)
    details = models.CharField(max_length=160, blank=True)
    follow_up_on = models.DateField("follow-up date")
    came_on = models.DateField("came on", null=True, blank=True)

    class Meta(Record.Meta):
        ordering = ["follow_up_on", "id"]
        indexes = [
            models.Index(
                fields=["case", "follow_up_on", "id"],
                condition=models.Q(came_on=None, voided_at=None),
                name="follow_up_open",
            ),
            models.Index(fields=["case", "id"], name="follow_up_by_case"),
        ]
        constraints = [
            must(
                "follow_up_other_in_words",
                ~models.Q(awaited="other") | ~models.Q(details=""),
                "Say what is awaited.",
            )
        ]

    def __str__(self) -> str:
        return self.words

    @property
    def words(self) -> str:
        """What is awaited, in words."""
        if self.awaited == "other":
            return self.details
        return ": ".join(part for part in (self.get_awaited_display(), self.details) if part)


class RegistrarStatement(CaseRecord):
    """The certificate as it was stated to the registrar: frozen; a later one amends it."""

    number = models.PositiveSmallIntegerField(editable=False)
    certified_on = models.DateField("certified on")
    why = models.TextField("reason for the amendment", blank=True)
    # Rows of the certifier's items as they read: item, label, text.
    said = models.JSONField(editable=False)
    # The version of the certification that was frozen.
    of_version = models.PositiveIntegerField(editable=False)
    stated_at = models.DateTimeField(editable=False)
    stated_by = staff_who()
    certifier = models.CharField(max_length=200, editable=False)

    class Meta(Record.Meta):
        ordering = ["case", "number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="registrar_statement_number"),
            must("registrar_statement_amended_with_reason", models.Q(number=1) | ~models.Q(why="")),
        ]

    def __str__(self) -> str:
        return f"Statement {self.number} to the registrar"
