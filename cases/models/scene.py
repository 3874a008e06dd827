"""The scene: surroundings, the body as found, other places, readings, medication, people."""

from __future__ import annotations

from django.db import models

from cases.models.case import Case, CaseRecord
from me_office.audit.models import Record
from me_office.audit.tables import must, staff_if_any


class Scene(Record):
    """What the investigator saw at the place where the body was found."""

    POSITIONS = [
        ("", "not stated"),
        ("supine", "on the back (supine)"),
        ("prone", "face down (prone)"),
        ("left side", "on the left side"),
        ("right side", "on the right side"),
        ("semi-prone", "semi-prone (half on the front)"),
        ("sitting", "sitting"),
        ("seated leaning", "seated, leaning to one side, back or forward"),
        ("crouched", "crouched"),
        ("kneeling", "kneeling"),
        ("hanging", "suspended"),
        ("partly suspended", "partly suspended, body touching the ground"),
        ("head down", "head down"),
        ("in water", "in water"),
        ("in a vehicle", "in a vehicle"),
        ("other", "other, see words"),
    ]
    BLANCHING = [
        ("", "not stated"),
        ("none", "no lividity seen"),
        ("blanches", "blanches"),
        ("partly", "blanches partly"),
        ("fixed", "fixed"),
        ("not tested", "not tested"),
        ("cannot be judged", "cannot be judged (dark skin, burns, decomposition, blood loss)"),
    ]
    RIGOR = [
        ("", "not stated"),
        ("absent", "absent"),
        ("beginning", "beginning"),
        ("full", "full"),
        ("passing", "passing off"),
        ("broken", "broken by handling"),
    ]

    case = models.OneToOneField(Case, models.PROTECT, related_name="scene", editable=False)
    arrived_at = models.DateTimeField()
    left_at = models.DateTimeField(null=True, blank=True)
    address = models.CharField(max_length=240)
    latitude = models.DecimalField(max_digits=9, decimal_places=6, null=True, blank=True)
    longitude = models.DecimalField(max_digits=9, decimal_places=6, null=True, blank=True)
    environment = models.TextField(
        blank=True, help_text="Light, doors, windows, heating, weather, smells, disorder"
    )
    hazards = models.CharField(max_length=240, blank=True)
    agencies = models.CharField(max_length=240, blank=True, help_text="Who else was there")
    position = models.CharField(max_length=20, choices=POSITIONS, blank=True)
    position_words = models.TextField(blank=True, help_text="Limbs, head, what the body lay on")
    moved_before = models.CharField(
        max_length=240, blank=True, help_text="Was the body moved before you came, by whom, why"
    )
    clothing = models.TextField(blank=True)
    lividity_where = models.CharField(max_length=240, blank=True)
    lividity_spared = models.CharField(max_length=240, blank=True)
    lividity_colour = models.CharField("lividity color", max_length=60, blank=True)
    lividity_blanching = models.CharField(max_length=20, choices=BLANCHING, blank=True)
    lividity_seen_at = models.DateTimeField(null=True, blank=True)
    rigor = models.CharField(max_length=20, choices=RIGOR, blank=True)
    rigor_where = models.CharField(max_length=240, blank=True)
    rigor_seen_at = models.DateTimeField(null=True, blank=True)
    body_marks = models.TextField(blank=True, help_text="Injuries or their absence, as seen here")
    narrative = models.TextField(blank=True)

    class Meta(Record.Meta):
        constraints = [
            must(
                "scene_left_after_arrival",
                models.Q(left_at=None) | models.Q(left_at__gte=models.F("arrived_at")),
                "Leaving cannot be before arriving.",
            )
        ]

    def __str__(self) -> str:
        return f"Scene, {self.address}"


class Place(CaseRecord):
    """Another place of the case, or another position of the body, with its time.

    The record of the scene tells where the body was found. Where the decedent was hurt, was moved
    to, was pronounced, or lay otherwise before that, each is a row of its own.
    """

    KINDS = [
        ("injury", "place of injury"),
        ("found", "where the body was first found"),
        ("moved", "where the body was moved to"),
        ("vehicle", "vehicle, transport"),
        ("hospital", "hospital"),
        ("died", "place of death"),
        # Recorded while the two above were one; not offered any more.
        ("death", "place of death or hospital"),
        ("other", "other place"),
    ]

    NO_LONGER_OFFERED = ("death",)

    kind = models.CharField("what it was", max_length=12, choices=KINDS)
    address = models.CharField(max_length=240)
    from_at = models.DateTimeField(null=True, blank=True)
    to_at = models.DateTimeField(null=True, blank=True)
    told_by = models.CharField(max_length=160, help_text="Own observation, or who told it")
    visited_at = models.DateTimeField(null=True, blank=True)
    position = models.CharField(max_length=20, choices=Scene.POSITIONS, blank=True)
    position_words = models.TextField(blank=True)
    lividity_where = models.CharField(max_length=240, blank=True)
    agencies = models.CharField(max_length=240, blank=True, help_text="Who else was there")
    weather = models.CharField(
        "weather and temperature",
        max_length=240,
        blank=True,
        help_text="With unit, instrument and hour; calculations don’t read it",
    )
    seen = models.TextField(blank=True, help_text="Surroundings, traces, what was done there")

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        indexes = [models.Index(fields=["case", "created_at"], name="place_by_case")]
        constraints = [
            must(
                "place_until_after_from",
                models.Q(from_at=None)
                | models.Q(to_at=None)
                | models.Q(to_at__gte=models.F("from_at")),
                "The end cannot be before the beginning.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display().capitalize()}, {self.address}"


class SceneReading(CaseRecord):
    """One temperature, with where and how it was taken."""

    KINDS = [
        ("ambient", "air beside the body"),
        ("surface", "surface under the body"),
        ("water", "water"),
        ("rectal", "rectal"),
        ("liver", "liver"),
        ("other", "other"),
    ]

    kind = models.CharField(max_length=20, choices=KINDS)
    value_c = models.DecimalField(max_digits=5, decimal_places=1)
    value_c_read = models.CharField(
        max_length=30, blank=True, help_text="As read, where not in °C: 98.6 °F"
    )
    read_at = models.DateTimeField()
    method = models.CharField(max_length=160, blank=True, help_text="Instrument and its number")

    class Meta(Record.Meta):
        ordering = ["read_at", "id"]
        constraints = [
            must(
                "reading_possible",
                models.Q(value_c__gte=-60, value_c__lte=120),
                "Between −60 and 120 °C.",
            )
        ]
        indexes = [models.Index(fields=["case", "read_at"], name="reading_by_case")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.value_c} °C"

    @property
    def value_words(self) -> str:
        """The temperature as it is kept, and as it was read."""
        read = f" (read as {self.value_c_read})" if self.value_c_read else ""
        return f"{self.value_c.normalize():f} °C{read}"


class Medication(CaseRecord):
    """A medicine or drug found at the scene."""

    name = models.CharField(max_length=120)
    strength = models.CharField(max_length=60, blank=True)
    directions = models.CharField(max_length=160, blank=True)
    dispensed_on = models.DateField(null=True, blank=True)
    quantity_dispensed = models.PositiveIntegerField(null=True, blank=True)
    quantity_found = models.PositiveIntegerField(null=True, blank=True)
    prescribed_to = models.CharField(max_length=120, blank=True)
    prescriber = models.CharField(max_length=120, blank=True)
    where_found = models.CharField(max_length=160, blank=True)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        indexes = [models.Index(fields=["case", "created_at"], name="medication_by_case")]

    def __str__(self) -> str:
        return f"{self.name} {self.strength}".strip()


class Person(CaseRecord):
    """Somebody connected with the death: witness, next of kin, finder, responder."""

    PARTS = [
        ("witness", "witness"),
        ("next of kin", "next of kin"),
        ("found the body", "found the body"),
        ("responder", "responder"),
        ("physician", "treating physician"),
        ("other", "other"),
    ]

    part = models.CharField(max_length=20, choices=PARTS)
    name = models.CharField(max_length=120)
    relation = models.CharField(max_length=120, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    address = models.CharField(max_length=240, blank=True)
    statement = models.TextField(blank=True)
    notified_at = models.DateTimeField(null=True, blank=True)
    notified_by = staff_if_any()

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        indexes = [models.Index(fields=["case", "created_at"], name="person_by_case")]

    def __str__(self) -> str:
        return f"{self.name}, {self.part}"
