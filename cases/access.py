"""Who may do what to which case: one table, one decision, one `require`.

`decide` is pure. `require` and `cases_open_to` apply it to a person and a case.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import BooleanField, F, Func, Q, QuerySet, Subquery, UUIDField
from django.db.models.functions import Cast

from cases.rules.after_signature import ACTS_THAT_FOLLOW
from cases.rules.case import CaseState
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES, Role
from me_office.audit import keys
from me_office.audit.errors import NotAllowed, NotKnown, known_of_office
from me_office.prepared import PreparedRows

if TYPE_CHECKING:
    from cases.models import Case


class Act(StrEnum):
    """What a person may want to do to a case. The value completes "may not ..."."""

    SEE = "see this case"
    REPORT = "log or change a report of death"
    DECIDE_JURISDICTION = "decide jurisdiction"
    RECORD_SCENE = "record the scene"
    RECEIVE_BODY = "record the body's receipt"
    RELEASE_BODY = "record the body's release or return"
    HOLD_BODY = "place or lift a hold on the body"
    LOG_CREMATION = "log a request for cremation approval"
    DECIDE_CREMATION = "approve or refuse a cremation"
    RECORD_DISPOSITION = "record the final disposition"
    IDENTIFY = "record an identification"
    ASSIGN = "assign the case"
    RESTRICT = "restrict the case or change its team"
    EXAMINE = "record the examination and its findings"
    CALCULATE = "keep a calculation"
    PHOTOGRAPH = "add or describe photographs"
    TAKE_SPECIMEN = "take or describe specimens"
    HOLD_PROPERTY = "record evidence and personal effects"
    TRANSFER_ITEM = "record seals and custody transfers"
    RECORD_RESULT = "record results of laboratories and consultants"
    CERTIFY = "state cause and manner"
    ANSWER_CHECKS = "answer what the checks ask or set it aside"
    KEEP_CHECKS = "change what the office checks"
    KEEP_CERTIFICATE = "keep the other items of the certificate and what it waits for"
    STATE_TO_REGISTRAR = "state the certificate to the registrar"
    WRITE_REPORT = "write the report or send it to review"
    REVIEW = "comment on the draft or send it back"
    DISCUSS_REVIEW = "reply to a comment of the review or settle it"
    KEEP_REVIEW_RULES = "change the rules of review"
    SIGN_REVIEW = "sign the peer review"
    RECORD_OUTSIDE = "record a review made outside the office"
    CLOSE_CASE = "close the case without a report or open it again"
    AMEND_SIGNED = "add an addendum or amendment"
    SIGN_SECOND = "sign an addendum as second pathologist"
    CONTACT_FAMILY = "record next of kin and their notification"
    KEEP_COURT_MARK = "keep a mark made in court"
    HANDLE_REQUEST = "log or answer requests and subpoenas"
    BUILD_PACKET = "build a release packet"
    RELEASE = "record a release"
    KEEP_COUNTING = "keep the rules of counting and the closures of courts"
    DECIDE_RELEASE = "decide what may go out"
    APPROVE_RELEASE = "approve what goes out as the second person"
    BUILD_ANSWER = "build and deliver the answer to a request"
    KEEP_CLERK_LISTS = "keep the office's rules of counting, grounds, fees and letters"
    PREPARE_EXHIBITS = "prepare exhibits and redactions"
    REDACT_DOCUMENTS = "redact documents that may go out"
    KEEP_EXPLANATIONS = "change the standing explanations"
    KEEP_OFFICE_TEXTS = "keep the short keys and the word list of the office"
    ANSWER_AS_WITNESS = "see what an exhibit answers"
    REHEARSE = "rehearse testimony"
    KEEP_STATEMENTS = "keep earlier statements and link their passages"
    KEEP_APPEARANCE = "keep dates in court"
    SEE_MEASURES = "see what waits for whom and what the office is measured by"


_I, _P, _S = Role.INVESTIGATOR, Role.PATHOLOGIST, Role.SUPERVISOR
_C, _T = Role.RECORDS_CLERK, Role.EVIDENCE_TECHNICIAN
_ALL = frozenset(CASE_ROLES)

_REPORTED, _DECLINED, _OPEN = CaseState.REPORTED, CaseState.DECLINED, CaseState.OPEN
_REVIEW, _SIGNED = CaseState.IN_REVIEW, CaseState.SIGNED
_CLOSED = CaseState.CLOSED
_ANY = frozenset(CaseState)

# act: (roles that may, case states in which it may be done)
TABLE: dict[Act, tuple[frozenset[Role], frozenset[CaseState]]] = {
    Act.SEE: (_ALL, _ANY),
    Act.REPORT: (frozenset({_I, _S}), frozenset({_REPORTED, _DECLINED, _OPEN})),
    Act.DECIDE_JURISDICTION: (frozenset({_I, _S}), frozenset({_REPORTED, _DECLINED})),
    Act.RECORD_SCENE: (frozenset({_I, _S}), frozenset({_REPORTED, _OPEN})),
    Act.RECEIVE_BODY: (frozenset({_I, _T, _S}), frozenset({_OPEN})),
    # The body leaves and comes back whatever becomes of the report. Whoever hands it over does not
    # decide alone that nothing keeps it: a hold is placed and lifted by who leads the case.
    Act.RELEASE_BODY: (frozenset({_I, _T, _S}), frozenset({_OPEN, _REVIEW, _SIGNED, _CLOSED})),
    Act.HOLD_BODY: (frozenset({_I, _P, _S}), frozenset({_OPEN, _REVIEW, _SIGNED, _CLOSED})),
    # Cremations of deaths that the office did not take are asked for too. The answer is medical.
    Act.LOG_CREMATION: (frozenset({_I, _S, _C}), _ANY - {_REPORTED}),
    Act.DECIDE_CREMATION: (frozenset({_P, _S}), _ANY - {_REPORTED}),
    Act.RECORD_DISPOSITION: (frozenset({_I, _T, _S, _C}), _ANY - {_REPORTED}),
    Act.IDENTIFY: (frozenset({_I, _P, _S}), frozenset({_REPORTED, _OPEN})),
    Act.ASSIGN: (frozenset({_S}), frozenset({_REPORTED, _OPEN, _REVIEW})),
    Act.RESTRICT: (frozenset({_S}), _ANY),
    Act.EXAMINE: (frozenset({_P}), frozenset({_OPEN})),
    # Keeping one; computing without keeping is open to whoever may see the case.
    Act.CALCULATE: (frozenset({_I, _P, _S}), frozenset({_REPORTED, _OPEN})),
    Act.PHOTOGRAPH: (frozenset({_I, _P, _T}), frozenset({_REPORTED, _OPEN})),
    Act.TAKE_SPECIMEN: (frozenset({_P, _T}), frozenset({_OPEN})),
    Act.HOLD_PROPERTY: (frozenset({_I, _P, _T}), frozenset({_REPORTED, _OPEN})),
    # Items go on being handled after the report is signed.
    Act.TRANSFER_ITEM: (
        frozenset({_I, _P, _T, _S, _C}),
        _ANY - {_DECLINED},
    ),
    # Reports come by mail and late: whoever opens it enters it, after the signature too.
    Act.RECORD_RESULT: (_ALL, _ANY - {_DECLINED}),
    Act.CERTIFY: (frozenset({_P}), frozenset({_OPEN})),
    # A certificate is filed within days, long before the report is signed, and amended long after.
    Act.KEEP_CERTIFICATE: (
        frozenset({_I, _P, _S, _C}),
        frozenset({_OPEN, _REVIEW, _SIGNED, _CLOSED}),
    ),
    Act.STATE_TO_REGISTRAR: (frozenset({_P}), frozenset({_OPEN, _REVIEW, _SIGNED})),
    Act.WRITE_REPORT: (frozenset({_P}), frozenset({_OPEN})),
    # Whoever recorded the two places that do not go together may say why. Sending a report without
    # what the office needs is its author's (WRITE_REPORT).
    Act.ANSWER_CHECKS: (frozenset({_I, _P, _S}), frozenset({_OPEN})),
    # Of no case: the role alone is asked. Nobody switches off what keeps their own report.
    Act.KEEP_CHECKS: (frozenset({_S}), frozenset({_OPEN})),
    Act.REVIEW: (frozenset({_P, _S}), frozenset({_REVIEW})),
    # Author and reviewers talk about a draft while it is read and while it is mended.
    Act.DISCUSS_REVIEW: (frozenset({_P, _S}), frozenset({_OPEN, _REVIEW})),
    # Of no case: the role alone is asked.
    Act.KEEP_REVIEW_RULES: (frozenset({_S}), frozenset({_OPEN})),
    # A medical opinion is signed by a physician; who leads the office need not be one.
    Act.SIGN_REVIEW: (frozenset({_P}), frozenset({_REVIEW})),
    # Where one pathologist works alone, somebody else records what another office's reviewer sent:
    # it comes by mail, and whoever opens it enters it. Never who wrote of the report.
    Act.RECORD_OUTSIDE: (frozenset({_P, _S, _C}), frozenset({_REVIEW})),
    # Nothing was examined, so there is no medical opinion to sign; it can be opened again.
    Act.CLOSE_CASE: (frozenset({_S}), frozenset({_OPEN, _CLOSED})),
    Act.AMEND_SIGNED: (frozenset({_P, _S}), frozenset({_SIGNED})),
    # What a physician added to a medical opinion, another physician signs.
    Act.SIGN_SECOND: (frozenset({_P}), frozenset({_SIGNED})),
    Act.CONTACT_FAMILY: (frozenset({_I, _P, _S}), _ANY),
    # Whoever may testify, and who hands the exhibits up.
    Act.KEEP_COURT_MARK: (frozenset({_I, _P, _S, _C}), frozenset({_OPEN, _REVIEW, _SIGNED})),
    Act.HANDLE_REQUEST: (frozenset({_C, _S}), _ANY),
    Act.BUILD_PACKET: (frozenset({_C, _S}), frozenset({_SIGNED})),
    # A packet is of a signed case; an answer may leave in any state of it.
    Act.RELEASE: (frozenset({_C, _S}), _ANY),
    # What exists may be asked for, and must be answered, whatever becomes of the report.
    Act.DECIDE_RELEASE: (frozenset({_C, _S}), _ANY),
    # Never who decided (cases.decisions); a medical question of it is a pathologist's.
    Act.APPROVE_RELEASE: (frozenset({_C, _P, _S}), _ANY),
    Act.BUILD_ANSWER: (frozenset({_C, _S}), _ANY),
    # Of no case: the role alone is asked.
    Act.KEEP_CLERK_LISTS: (frozenset({_C, _S}), frozenset({_OPEN})),
    # A hearing may come before the report is signed; copies for it change nothing in the file.
    Act.PREPARE_EXHIBITS: (frozenset({_P, _S, _C}), frozenset({_OPEN, _REVIEW, _SIGNED})),
    # What goes out may be asked for whatever became of the case; the documents stay as they are.
    Act.REDACT_DOCUMENTS: (frozenset({_P, _S, _C}), _ANY),
    # Of no case: the role alone is asked.
    Act.KEEP_EXPLANATIONS: (frozenset({_P, _S}), frozenset({_OPEN})),
    Act.KEEP_COUNTING: (frozenset({_C, _S}), frozenset({_OPEN})),
    Act.KEEP_OFFICE_TEXTS: (frozenset({_P, _S}), frozenset({_OPEN})),
    # Who answers for the record in court, and who prepares them for it. It only reads.
    Act.ANSWER_AS_WITNESS: (frozenset({_P, _S}), frozenset({_OPEN, _REVIEW, _SIGNED})),
    # Who may be called as the witness; notes of it change nothing in the file.
    Act.REHEARSE: (frozenset({_P, _S}), frozenset({_OPEN, _REVIEW, _SIGNED})),
    # What was said elsewhere is no part of the report, and mostly comes after it.
    Act.KEEP_STATEMENTS: (frozenset({_P, _S, _C}), frozenset({_OPEN, _REVIEW, _SIGNED})),
    # Whoever is called keeps their own; those of others a clerk or supervisor (appearances.rules).
    Act.KEEP_APPEARANCE: (_ALL, _ANY),
    # Of no case: the role alone is asked. Whoever is no supervisor sees their own (cases.measures).
    Act.SEE_MEASURES: (frozenset({_P, _S}), frozenset({_OPEN})),
}

_ONLY_READ = frozenset({Act.SEE, Act.ANSWER_AS_WITNESS})

# One table says what may follow a signature, for people here and for the database's lock.
for _act, (_roles, _states) in TABLE.items():
    if (_act.name in ACTS_THAT_FOLLOW) != (_SIGNED in _states) and _act not in _ONLY_READ:
        raise RuntimeError(
            f"{_act.name}: TABLE and cases/rules/after_signature.py differ on a signed case"
        )


@dataclass(frozen=True)
class Decision:
    """Yes, or no with the reason; `known` is False where the person may not know of the case."""

    allowed: bool
    why: str = ""
    known: bool = True


def decide(
    roles: frozenset[Role], act: Act, state: CaseState, *, restricted: bool, on_team: bool
) -> Decision:
    """Decide from role, act, case state and team alone."""
    if not roles & CASE_ROLES:
        return Decision(False, "Your account gives no access to case files.", known=False)
    if restricted and not on_team:
        return Decision(False, "This case is open to its named team only.", known=False)
    may, states = TABLE[act]
    if not roles & may:
        return Decision(False, f"As {_words(roles)} you may not {act}; {_words(may)} may.")
    if state not in states:
        if state is CaseState.SIGNED:
            return Decision(
                False,
                "The case file is signed and locked. An addendum or amendment with a reason "
                "is the way to change what it says.",
            )
        return Decision(False, f"You cannot {act} while the case is {state.words}.")
    return Decision(True)


def _words(roles: frozenset[Role]) -> str:
    names = [role.value for role in Role if role in roles]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


def is_on_team(actor: Staff, case: Case) -> bool:
    """Tell whether the person belongs to the case's named team (an object permission)."""
    return bool(actor.is_active and _team_rows(actor.pk).filter(object_pk=str(case.pk)).exists())


def note_shown(actor: Staff, case: Case) -> None:
    """Note on what was read for a page that the person may know of it.

    Each further question of that page then needs no statement. An action reads and asks anew.
    """
    case.shown_to = actor.pk


def _team_rows(person_id: UUID) -> Any:
    """A person's places on teams of cases (object permissions)."""
    from django.contrib.auth.models import Permission
    from guardian.models import UserObjectPermission

    # Found once for the statement: joined, it would be looked up for every row.
    permission = Permission.objects.filter(
        codename="work_on_case", content_type__app_label="cases"
    ).order_by("pk")
    return UserObjectPermission.objects.filter(
        user=person_id, permission=Subquery(permission.values("pk")[:1])
    )


def decision_on(actor: Staff, act: Act, case: Case) -> Decision:
    """Decide for a person and a case."""
    shown = not case.restricted or case.shown_to == actor.pk
    on_team = shown or is_on_team(actor, case)
    return decide(
        actor.roles, act, CaseState(case.state), restricted=case.restricted, on_team=on_team
    )


def require(actor: Staff, act: Act, case: Case) -> None:
    """Refuse what the person may not do. Raises NotKnown or NotAllowed."""
    decision = require_at_all(actor, act, case)
    if not decision.allowed:
        raise NotAllowed(decision.why)


def case_for(actor: Staff, act: Act, case_id: UUID) -> Case:
    """Return the case, read anew, if the person may do this to it. Raises NotKnown or NotAllowed.

    For whatever only reads; an action locks the case (`cases.queries.case_for_update`).
    """
    from cases.models import Case

    case = known_of_office(_case_of_key().one(Case, case_id), "case")
    require(actor, act, case)
    return case


@cache
def _case_of_key() -> PreparedRows:
    from cases.models import Case

    return PreparedRows(lambda case_id: Case.objects.filter(pk=case_id).order_by())


def require_at_all(actor: Staff, act: Act, case: Case) -> Decision:
    """Refuse whom team and roles keep out, whatever the state of the case; return the decision.

    An act that was done may have moved the case on. So a retried request gets its first answer
    here: after these two questions, and before the state is asked. An action that knows its own
    retries by the record's key asks this before it looks for the record.
    Raises NotKnown, NotAllowed, Conflict.
    """
    decision = decision_on(actor, act, case)
    if not decision.known:
        raise NotKnown("There is no such case.")
    if not decision.allowed and not actor.roles & TABLE[act][0]:
        raise NotAllowed(decision.why)
    keys.recall(case_id=case.pk)
    return decision


def may(actor: Staff, act: Act, case: Case) -> bool:
    """Tell whether a page should offer an act; the action asks again."""
    return decision_on(actor, act, case).allowed


def may_somewhere(actor: Staff, act: Act) -> bool:
    """Tell whether the person's roles allow an act in some case: what a page outside offers."""
    return bool(actor.roles & TABLE[act][0])


def require_role(actor: Staff, act: Act, *, called: str = "") -> None:
    """Refuse an act that has no case yet (logging a report of death). Raises NotAllowed.

    `called` is what the person does here, where the act that allows it has other words.
    """
    roles, _ = TABLE[act]
    if not actor.roles & roles:
        who = _words(actor.roles) if actor.roles else "staff"
        raise NotAllowed(f"As {who} you may not {called or act}.")


def people_who_may_see(case: Case) -> QuerySet[Staff]:
    """Return the people with an open account who may know of a case."""
    people = Staff.objects.filter(is_active=True)
    if not case.restricted:
        return people
    return people.filter(pk__in=case.teammember_set.active().values("member"))


def cases_open_to(actor: Staff) -> QuerySet[Case]:
    """Return the cases the person may know of."""
    from cases.models import Case

    return cases_open_to_person(actor.pk) if knows_cases(actor) else Case.objects.none()


def knows_cases(actor: Staff) -> bool:
    """Tell whether the person's roles let them know of cases."""
    return bool(actor.roles & CASE_ROLES)


def cases_open_to_person(person_id: UUID) -> QuerySet[Case]:
    """Return the cases that a person may know of whose roles let them know of cases."""
    return _cases_open_to(person_id).all()


@lru_cache(maxsize=256)
def _cases_open_to(person_id: UUID) -> QuerySet[Case]:
    from cases.models import Case

    rows = _team_rows(person_id)
    team = rows.annotate(case_key=Cast("object_pk", UUIDField())).values("case_key")
    # As an array, which is made once: the planner would charge a subquery to every row that it
    # looks up by its key, and rather read all cases.
    own = Func(
        F("pk"),
        ArraySubquery(team),
        template="%(expressions)s)",
        arg_joiner=" = ANY (",
        output_field=BooleanField(),
    )
    return Case.objects.filter(Q(restricted=False) | Q(own))
