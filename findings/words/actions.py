"""The office's own vocabulary: terms added and withdrawn."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act
from cases.actions.entry import require_for_office
from cases.actions.office import withdraws_of_office
from findings.prose.house import wrong_with
from findings.words import queries, vocabulary
from findings.words.models import OfficeTerm, OfficeWording
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import NotKnown, Refused
from me_office.audit.records import recorded_before, save_new, void
from me_office.entries import Entry


@action
def add_office_term(actor: Staff, *, record_id: UUID, entry: Entry, reason: str = "") -> OfficeTerm:
    """Offer a term to everybody who records findings. `entry`: klass, term.

    Raises NotAllowed, Conflict, Refused, Invalid.
    """
    require_for_office(actor, Act.EXAMINE)
    words = " ".join(str(entry.get("term") or "").split())
    term = OfficeTerm(pk=record_id, klass=entry.get("klass") or "", term=words)
    there = recorded_before(term)
    if there is not None:
        return there
    curated = {
        one.lower()
        for klass, offered in vocabulary.TERMS.items()
        if klass == term.klass
        for one in offered
    }
    if words.lower() in curated:
        raise Refused("This term is already offered.", field="term")
    return save_new(actor, term)


# Findings that use the term keep it.
void_office_term = withdraws_of_office(
    "void_office_term", OfficeTerm, "term", act=Act.EXAMINE, key="term_id"
)


@action
def reword(
    actor: Staff,
    *,
    record_id: UUID,
    key: str,
    words: str,
    replaces: UUID | None = None,
    reason: str = "",
) -> OfficeWording:
    """Let the office's reports say something in other words.

    `replaces` is the office's wording that was read, None where it was the standard one; it is
    withdrawn. Reports in review keep the wording under which they were sent, signed ones what they
    say. Raises NotAllowed, NotKnown, Conflict, Refused.
    """
    require_for_office(actor, Act.EXAMINE)
    words = " ".join(words.split())
    wording = queries.wording_of(key)
    if wording is None:
        raise NotKnown("The report has no such wording.")
    own = OfficeWording(pk=record_id, key=key, words=words)
    there = recorded_before(own)
    if there is not None:
        return there
    if why := wrong_with(wording, words):
        raise Refused(why, field="words")
    standing = OfficeWording.objects.active().filter(key=key).select_for_update().first()
    if (standing.pk if standing else None) != replaces:
        now = f"“{standing.words}”" if standing else "the standard words"
        raise Refused(f"Somebody else changed this meanwhile: it is {now} now.", field="words")
    if standing is not None:
        if standing.words == words:
            raise Refused("The office says it in these words already.", field="words")
        void(actor, standing, reason=reason.strip() or "Reworded.")
    return save_new(actor, own)


# Reports say it in the standard words again.
restore_wording = withdraws_of_office(
    "restore_wording", OfficeWording, "wording", act=Act.EXAMINE, key="wording_id"
)
