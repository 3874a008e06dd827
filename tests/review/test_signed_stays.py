"""Whatever is done after the signature, what was signed reads as it did, byte for byte.

With SIGNED=200 in the environment 200 sequences are drawn, other ones each time.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from cases.actions import (
    assign_case,
    describe_decedent,
    record_person,
    record_scene,
    restrict_case,
    unrestrict_case,
)
from cases.certification.actions import state_cause_and_manner
from cases.certification.filing import record_follow_up, state_to_registrar
from cases.certification.models import Certification, RegistrarStatement
from cases.checking.actions import add_office_check
from cases.models import Case, Decedent, Person
from cases.packets import tasks
from cases.packets.material import as_signed, material_of
from cases.packets.printing import report_values
from cases.packets.signed_report import signed_report
from cases.review import actions, amending, threads
from cases.review.models import (
    Addendum,
    AmendedPassage,
    ReportDraft,
    ReviewComment,
    ReviewDecision,
    SignedPdf,
)
from cases.review.peer_actions import change_review_policy
from cases.review.queries import signed_content
from cases.review.rules import digest_of
from cases.signatures import second
from cases.signatures.actions import issue_certificate, revoke_certificate
from cases.signatures.models import Certificate, SecondSignature, Signature, SignedDocument
from cases.signatures.queries import known_by
from evidence.custody.actions import record_transfer
from evidence.photographs.actions import describe_photograph, unlink_finding, void_photograph
from evidence.photographs.models import Photograph, PhotographFinding
from evidence.specimens.actions import describe_specimen, void_specimen
from evidence.specimens.models import Specimen
from evidence.store import original_chunks
from findings.actions import change_finding, record_examination, record_finding, void_finding
from findings.models import Examination, Finding
from findings.organs.actions import weigh_organ
from findings.systems.actions import decide_part
from findings.words.actions import reword
from findings.words.models import OfficeWording
from me_office.accounts.actions import change_account
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import NotKnown, OfficeError
from me_office.audit.ids import new_id
from tests.builders import taken_back
from tests.packets.builders import examined_case, make_clerk, make_people, packet_for, send
from tests.results.builders import report_of
from tests.review.test_review import comment_on
from tests.signatures.builders import certified, make_administrator, signers_of

WORDS = st.text(alphabet="abc é\n", min_size=1, max_size=12).map(lambda text: f"x{text}")
MANY = int(os.environ.get("SIGNED", "0"))
# What is kept of a signature and of what follows it: once there, no column of a row changes.
FROZEN: tuple[Any, ...] = (
    ReportDraft, ReviewDecision, SignedPdf, SignedDocument, Signature, SecondSignature, Addendum,
    AmendedPassage, RegistrarStatement,
)  # fmt: skip
Act = Callable[[Case, Staff, str], object]
FOLLOW: list[Act] = []
LOCKED: list[Act] = []


def follows(act: Act) -> Act:
    """An act that may come after a signature; whether its person may do it is another matter."""
    FOLLOW.append(act)
    return act


def locked(act: Act) -> Act:
    """An act that a signed case refuses, whoever does it."""
    LOCKED.append(act)
    return act


def line(words: str) -> str:
    return " ".join(words.split())


def the(model: Any, case: Case) -> Any:
    """The first record of a kind. Raises NotKnown, as an act on none does."""
    row = model.objects.filter(case=case).order_by("created_at", "pk").first()
    if row is None:
        raise NotKnown("There is none.")
    return row


def of(case: Case, **more: Any) -> dict[str, Any]:
    return {"case_id": case.pk, **more}


def new(case: Case, **more: Any) -> dict[str, Any]:
    return of(case, record_id=new_id(), **more)


@follows
def add(case: Case, by: Staff, words: str) -> object:
    entry = {"kind": "addendum", "amends": "", "text": words, "why": words}
    return actions.add_addendum(by, **new(case), entry=entry)


@follows
def amend_the_cause(case: Case, by: Staff, words: str) -> object:
    return amending.amend_record(
        by, **new(case), what="cause-and-manner", version=the(Certification, case).version,
        entry={"manner": "undetermined", "cause_a": line(words)}, reason=words,
    )  # fmt: skip


@follows
def amend_the_name(case: Case, by: Staff, words: str) -> object:
    return amending.amend_record(
        by, **new(case), what="decedent", version=the(Decedent, case).version,
        entry={"family_name": line(words)}, reason=words,
    )  # fmt: skip


@follows
def amend_a_specimen(case: Case, by: Staff, words: str) -> object:
    row = the(Specimen, case)
    return amending.amend_record(
        by, **new(case), what="specimen", of=row.pk, version=row.version,
        entry={"container": line(words)}, reason=words,
    )  # fmt: skip


@follows
def report_a_result(case: Case, by: Staff, words: str) -> object:
    return report_of(by, case, statement=words)


@follows
def contact_family(case: Case, by: Staff, words: str) -> object:
    there = Person.objects.filter(case=case).first()
    key, version = (there.pk, there.version) if there else (new_id(), 0)
    entry = {"part": "next of kin", "name": line(words), "relation": "sister"}
    return record_person(by, **of(case), record_id=key, version=version, entry=entry)


@follows
def hand_on(case: Case, by: Staff, words: str) -> object:
    item = the(Specimen, case).item
    entry = {
        "from_party": item.transfers.order_by("at").last().to_party, "to_party": line(words),
        "at": timezone.now(), "place": "Dock", "purpose": "storage", "seal_state": "intact",
    }  # fmt: skip
    return record_transfer(by, **new(case), item_id=item.pk, version=item.version, entry=entry)


@follows
def restrict(case: Case, by: Staff, words: str) -> object:
    now = Case.objects.get(pk=case.pk)
    act = unrestrict_case if now.restricted else restrict_case
    return act(by, **of(case), version=now.version, reason=words)


@follows
def state_it(case: Case, by: Staff, words: str) -> object:
    version, today = the(Certification, case).version, timezone.localdate()
    entry = {"certified_on": today}
    return state_to_registrar(by, **new(case), version=version, entry=entry, reason=words)


@follows
def await_something(case: Case, by: Staff, words: str) -> object:
    entry = {"awaited": "other", "details": line(words), "follow_up_on": timezone.localdate()}
    return record_follow_up(by, **new(case), entry=entry)


@follows
def rename_the_author(case: Case, by: Staff, words: str) -> object:
    person = signers_of(case)[0]
    entry = {"display_name": line(words), "credentials": "PhD", "roles": [Role.RECORDS_CLERK]}
    return change_account(by, staff_id=person.pk, version=person.version, entry=entry, reason=words)


@follows
def say_it_otherwise(case: Case, by: Staff, words: str) -> object:
    standing = OfficeWording.objects.filter(key="term.contusion", voided_at=None).last()
    there = standing.pk if standing else None
    return reword(by, record_id=new_id(), key="term.contusion", words=line(words), replaces=there)


@follows
def ask_for_more(case: Case, by: Staff, words: str) -> object:
    entry = {"words": line(words), "level": "must", "applies": "always"}
    return add_office_check(by, record_id=new_id(), entry=entry)


@follows
def ask_for_opinions(case: Case, by: Staff, words: str) -> object:
    entry = {"opinion_manners": ["accident"], "sheet_manners": ["accident"], "share_percent": 50}
    return change_review_policy(by, record_id=new_id(), version=0, entry=entry, reason=words)


@follows
def revoke(case: Case, by: Staff, words: str) -> object:
    mine = Certificate.objects.filter(kind=Certificate.PERSON, revoked_at=None).first()
    if mine is None:
        raise NotKnown("There is none.")
    return revoke_certificate(by, certificate_id=mine.pk, version=mine.version, reason=words)


@follows
def issue(case: Case, by: Staff, words: str) -> object:
    person = signers_of(case)[0]
    return issue_certificate(by, record_id=new_id(), person_id=person.pk, reason=words)


@follows
def make_files_again(case: Case, by: Staff, words: str) -> object:
    draft = ReportDraft.objects.get(case=case)
    return tasks.keep_signed_report(draft_id=str(draft.pk))


@follows
def ask_for_a_packet(case: Case, by: Staff, words: str) -> object:
    return packet_for(case, by)


@follows
def sign_second(case: Case, by: Staff, words: str) -> object:
    if not Addendum.objects.filter(case=case).exists():
        add(case, signers_of(case)[0], words)
    one = the(Addendum, case)
    digest = digest_of(second.content_of(one))
    return second.sign_second(by, **new(case), addendum_id=one.pk, sha256=digest)


@locked
def write(case: Case, by: Staff, words: str) -> object:
    entry = {"opinion": words, "history": "", "summary": ""}
    return actions.write_report(by, **new(case), version=2, entry=entry)


@locked
def send_again(case: Case, by: Staff, words: str) -> object:
    return actions.submit_report(by, **new(case), version=2, acknowledged=[])


@locked
def state_the_cause(case: Case, by: Staff, words: str) -> object:
    entry = {"manner": "natural", "cause_a": line(words)}
    version = the(Certification, case).version
    return state_cause_and_manner(by, **new(case), version=version, entry=entry)


@locked
def speak(case: Case, by: Staff, words: str) -> object:
    return comment_on(by, ReportDraft.objects.get(case=case), "cause", words)


@locked
def resolve(case: Case, by: Staff, words: str) -> object:
    one = the(ReviewComment, case)
    return threads.resolve_comment(by, **of(case), comment_id=one.pk, version=1, words=words)


@locked
def find_more(case: Case, by: Staff, words: str) -> object:
    entry = {"klass": "injury", "term": "Abrasion", "seen_as": words}
    return record_finding(by, **new(case), entry=entry, marks=[])


@locked
def see_it_otherwise(case: Case, by: Staff, words: str) -> object:
    one = the(Finding, case)
    entry = {"klass": one.klass, "term": one.term, "seen_as": words}
    return change_finding(by, **of(case), finding_id=one.pk, version=one.version, entry=entry)


@locked
def withdraw_a_finding(case: Case, by: Staff, words: str) -> object:
    one = the(Finding, case)
    return void_finding(by, **of(case), finding_id=one.pk, version=one.version, reason=words)


@locked
def examine_again(case: Case, by: Staff, words: str) -> object:
    version = the(Examination, case).version
    return record_examination(by, **of(case), version=version, entry={"internal": words},
                              reason=words)  # fmt: skip


@locked
def weigh(case: Case, by: Staff, words: str) -> object:
    entry = {"organ": "liver", "weight_g": 1500, "seen_as": words}
    return weigh_organ(by, **new(case), entry=entry, reason=words)


@locked
def decide(case: Case, by: Staff, words: str) -> object:
    entry = {"decision": "described", "words": words}
    return decide_part(by, **new(case), part="skull", version=0, entry=entry, reason=words)


@locked
def describe_the_photograph(case: Case, by: Staff, words: str) -> object:
    one = the(Photograph, case)
    entry = {"shows": words, "view": one.view, "place": one.place}
    return describe_photograph(
        by, **of(case), photograph_id=one.pk, version=one.version, entry=entry, reason=words
    )


@locked
def withdraw_a_photograph(case: Case, by: Staff, words: str) -> object:
    one = the(Photograph, case)
    return void_photograph(by, **of(case), photograph_id=one.pk, version=one.version, reason=words)


@locked
def take_the_finding_off(case: Case, by: Staff, words: str) -> object:
    one = the(PhotographFinding, case)
    return unlink_finding(by, **of(case), link_id=one.pk, version=one.version, reason=words)


@locked
def describe_the_specimen(case: Case, by: Staff, words: str) -> object:
    one = the(Specimen, case)
    entry = {"container": line(words)}
    return describe_specimen(
        by, **of(case), specimen_id=one.pk, version=one.version, entry=entry, reason=words
    )


@locked
def withdraw_the_specimen(case: Case, by: Staff, words: str) -> object:
    one = the(Specimen, case)
    return void_specimen(by, **of(case), specimen_id=one.pk, version=one.version, reason=words)


@locked
def visit_the_scene(case: Case, by: Staff, words: str) -> object:
    entry = {"arrived_at": timezone.now(), "address": line(words), "position": "prone"}
    return record_scene(by, **new(case), version=0, entry=entry)


@locked
def rename_the_decedent(case: Case, by: Staff, words: str) -> object:
    version = the(Decedent, case).version
    entry = {"family_name": line(words)}
    return describe_decedent(by, **of(case), version=version, entry=entry, reason=words)


@locked
def assign(case: Case, by: Staff, words: str) -> object:
    now = Case.objects.get(pk=case.pk)
    return assign_case(by, **of(case), version=now.version, entry={"pathologist": by},
                       reason=words)  # fmt: skip


def rows(case: Case) -> Iterator[tuple[Any, dict[str, Any]]]:
    """Everything that is frozen, column by column, and what the files hold."""
    for model in FROZEN:
        of_case = {"document__case": case} if model is Signature else {"case": case}
        for row in model.objects.filter(**of_case).values():
            yield (model.__name__, row["id"]), row
    for model in (SignedPdf, SignedDocument):
        for one in model.objects.filter(case=case).select_related("file"):
            read = hashlib.sha256(b"".join(original_chunks(one.file))).hexdigest()
            yield (model.__name__, "file", one.pk), {"sha256": read}


def printed(case: Case) -> dict[str, Any]:
    """What the signed report would print if its file were made now, and its drawings."""
    material = as_signed(material_of(case.pk))
    values = report_values(material, with_photographs=False, sent=())
    return {**values, "drawn": [chart.svg for chart in material.charts]}


@pytest.fixture(scope="module")
def signed_and_kept(made_once: Callable[..., Any]) -> tuple[Case, list[Staff]]:
    """A signed case whose file is kept, and who acts in it."""

    def build() -> tuple[Case, list[Staff]]:
        vasko, thorne = make_people()
        case = examined_case(vasko)
        draft = send(case, vasko)
        comment_on(thorne, draft, "cause", "Which vessel?")
        actions.sign_off(thorne, **new(case), draft_id=draft.pk, sha256=draft.sha256)
        certified(case)
        signed_report(case.pk)
        return case, [thorne, vasko, make_clerk(), make_administrator()]

    return made_once(build)


def tried(act: Act, case: Case, person: Staff, words: str) -> OfficeError | None:
    """Do an act as the person is known now; return why it was refused."""
    try:
        act(case, Staff.objects.get(pk=person.pk), words)
    except OfficeError as error:
        return error
    assert act in FOLLOW, f"{act.__name__} was done to a signed case"
    return None


class Watch:
    """What is frozen of a case; each act is looked at for what it made of that."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.seen, self.first = dict(rows(case)), printed(case)

    def tries(self, act: Act, person: Staff, words: str) -> None:
        """Do an act, or be refused; nothing that was frozen may read otherwise afterwards."""
        tried(act, self.case, person, words)
        now = dict(rows(self.case))
        assert {key: now.get(key) for key in self.seen} == self.seen, act.__name__
        self.seen = now

    def as_it_was(self) -> None:
        """Compare every row and file, what would be printed now, and what the code tells."""
        now = dict(rows(self.case))
        assert {key: now.get(key) for key in self.seen} == self.seen
        draft = ReportDraft.objects.get(case=self.case)
        assert digest_of(signed_content(self.case.pk) or {}) == draft.sha256
        assert printed(self.case) == self.first
        assert known_by(SignedDocument.objects.get(addendum=None).code).signatures == 2


@pytest.mark.django_db
def test_the_acts_are_those_that_somebody_may_do_and_those_that_the_signature_shuts(
    signed_and_kept, settings
):
    settings.SECOND_SIGNATURE = True
    case, people = signed_and_kept
    watch = Watch(case)
    for act in FOLLOW:
        refused = []
        for person in people:
            with taken_back():
                refused.append(tried(act, case, person, "Words"))
                if refused[-1] is None:
                    watch.as_it_was()
            if refused[-1] is None:
                break
        assert refused[-1] is None, (act.__name__, refused)
    for act in LOCKED:
        with taken_back():
            assert "signed and locked" in str(tried(act, case, people[0], "Words")), act.__name__


AN_ACT = st.tuples(st.sampled_from([*FOLLOW, *LOCKED]), st.integers(0, 3), WORDS)


@pytest.mark.django_db
@settings(
    max_examples=MANY or 5,
    derandomize=not MANY,
    deadline=None,
    # What failed is short as it is; each step of making it shorter takes a second.
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(AN_ACT, min_size=4, max_size=8), st.booleans())
def test_no_sequence_of_acts_changes_what_was_signed(signed_and_kept, settings, sequence, two):
    case, people = signed_and_kept
    settings.SECOND_SIGNATURE = two
    with taken_back():
        watch = Watch(case)
        for act, who, words in sequence:
            watch.tries(act, people[who], words)
        watch.as_it_was()
