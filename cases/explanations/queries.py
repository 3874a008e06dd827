"""Reads of the standing explanations."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from cases.explanations.models import Explanation
from cases.explanations.rules import FindingAsked
from cases.explanations.shipped import Shipped, shipped
from findings.models import Finding
from me_office.audit.errors import NotKnown
from me_office.audit.queries import HistoryEntry, record_history


@dataclass(frozen=True)
class Explained:
    """An explanation as the office gives it; `own` where the office has words of its own."""

    text: Shipped
    own: Explanation | None = None

    @property
    def key(self) -> str:
        """The key by which rules and addresses name it."""
        return self.text.key

    @property
    def question(self) -> str:
        """What is asked."""
        return self.own.question if self.own else self.text.question

    @property
    def words(self) -> str:
        """The answer."""
        return self.own.words if self.own else self.text.words

    @property
    def source(self) -> str:
        """Where the answer is from."""
        return self.own.source if self.own else self.text.source

    @property
    def version(self) -> int:
        """The version of the office's own words; 0 for the text as it comes."""
        return self.own.version if self.own else 0


def explanations(keys: Collection[str] | None = None) -> list[Explained]:
    """Return all explanations, or those of some keys, in their order; one statement."""
    own = Explanation.objects.active().select_related("changed_by")
    rows = {one.key: one for one in (own if keys is None else own.filter(key__in=keys))}
    wanted = [one for one in shipped().values() if keys is None or one.key in keys]
    return [Explained(one, rows.get(one.key)) for one in wanted]


def explanation_of(key: str) -> Explained:
    """Return one explanation. Raises NotKnown."""
    if key not in shipped():
        raise NotKnown("There is no such explanation.")
    return explanations([key])[0]


def asked_of(finding: Finding) -> FindingAsked:
    """Return what the questions about a finding depend on; its layers and meanings are read."""
    layers = [one for one in finding.layers.all() if not one.is_voided]
    meanings = [one for one in finding.interpretations.all() if not one.is_voided]
    said = (
        finding.seen_as, finding.colour, finding.pattern, finding.vital_reaction,
        finding.timing_ground, *(one.found for one in layers), *(one.ground for one in meanings),
    )  # fmt: skip
    return FindingAsked(
        klass=finding.klass,
        term=finding.term,
        mechanism=finding.mechanism,
        timing=finding.timing,
        impacts_kind=finding.impacts_kind,
        said=" ".join(said),
        layers_examined=sum(one.examined for one in layers),
        layers_not_examined=sum(not one.examined for one in layers),
        strengths=frozenset(one.standing for one in meanings),
    )


def earlier_words(key: str) -> list[HistoryEntry]:
    """Return what was done to an explanation's words, newest first."""
    rows = Explanation.objects.filter(key=key).order_by("-created_at", "-id")
    table = Explanation._meta.db_table
    records = [(table, str(pk)) for pk in rows.values_list("pk", flat=True)]
    return record_history(*records[0], also=records[1:]) if records else []
