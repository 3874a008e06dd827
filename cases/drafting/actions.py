"""Short keys and the office's words: kept, changed, withdrawn."""

from __future__ import annotations

from uuid import UUID

from cases import access
from cases.access import Act
from cases.actions.entry import refuse_wrong, require_standing
from cases.actions.office import adds_to_office, withdraws_of_office
from cases.drafting import rules
from cases.drafting.models import OfficeWord, ShortKey
from me_office.accounts.models import Staff
from me_office.audit import keys
from me_office.audit.actions import action
from me_office.audit.errors import NotKnown
from me_office.audit.fields import said_of, set_fields
from me_office.audit.records import save_new, save_next_version, void
from me_office.entries import Entry

ENTERED = ("key", "text")


@action
def keep_short_key(
    actor: Staff, *, record_id: UUID, version: int, entry: Entry, reason: str = ""
) -> ShortKey:
    """Keep a short key with its text. `entry`: key, text, and `shared` for one of the office.

    Version 0 makes one. Raises NotAllowed, NotKnown, StaleRecord, Conflict, Refused, Invalid.
    """
    shared = bool(entry.get("shared"))
    access.require_role(actor, Act.KEEP_OFFICE_TEXTS if shared and not version else Act.SEE)
    said = {name: entry[name] for name in ENTERED if name in entry}
    if "key" in said:
        said["key"] = rules.key_as_kept(str(said["key"] or ""))
    if version:
        standing = _standing(actor, record_id)
        keys.recall()
        require_standing(standing, version)
        set_fields(standing, said, ENTERED)
        refuse_wrong(rules.wrong_in_key(said_of(standing, ENTERED)))
        return save_next_version(actor, standing)
    keys.recall()
    refuse_wrong(rules.wrong_in_key(said))
    made = ShortKey(pk=record_id, owner=None if shared else actor)
    set_fields(made, said, ENTERED)
    return save_new(actor, made)


@action
def void_short_key(actor: Staff, *, record_id: UUID, version: int, reason: str) -> ShortKey:
    """Withdraw a short key; texts that were made with it stay as they are.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    access.require_role(actor, Act.SEE)
    standing = _standing(actor, record_id)
    keys.recall()
    return void(actor, standing, version=version, reason=reason)


def _standing(actor: Staff, record_id: UUID) -> ShortKey:
    """Return the locked short key: the person's own, or one of the office that they may change."""
    found: ShortKey | None = (
        ShortKey.objects.filter(pk=record_id).select_for_update(of=("self",)).first()
    )
    if found is None or found.owner_id not in {None, actor.pk}:
        raise NotKnown("There is no such short key.")
    if found.owner_id is None:
        access.require_role(actor, Act.KEEP_OFFICE_TEXTS)
    return found


def _put_word(word: OfficeWord, entry: Entry) -> None:
    said = {"word": rules.word_as_kept(str(entry.get("word") or ""))}
    refuse_wrong(rules.wrong_in_word(said))
    word.word = said["word"]


# A word that the office spells so.
add_office_word = adds_to_office(
    "add_office_word", OfficeWord, _put_word, act=Act.KEEP_OFFICE_TEXTS
)

# The word is asked about again.
void_office_word = withdraws_of_office(
    "void_office_word", OfficeWord, "word", act=Act.KEEP_OFFICE_TEXTS
)
