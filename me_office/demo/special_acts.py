"""Acts that read something first: the version on the page, the holder of an item, a draft.

Each function is named like the office's action that it calls.
"""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.conf import settings
from django.utils import timezone

from cases import actions as case_actions
from cases.appearances import actions as appearances
from cases.appearances.models import Appearance
from cases.calendars import actions as calendars
from cases.certification import filing
from cases.certification.models import Certification
from cases.checking import actions as checking
from cases.clock import actions as clock
from cases.counting import actions as counting
from cases.court.models import RecordsRequest
from cases.docket import actions as docket
from cases.drafting import actions as drafting
from cases.exhibits.models import ExhibitSet
from cases.letters import actions as letters
from cases.letters.models import Letter
from cases.measures import actions as measures
from cases.models import Case, Decedent
from cases.packets import actions as packets
from cases.packets.models import Packet
from cases.packets.tasks import make_requested
from cases.qualifications import actions as qualifications
from cases.remains import disposing
from cases.remains.models import CremationRequest
from cases.review import actions as review
from cases.review import closing, peer_actions, threads
from cases.review.models import (
    IndependentOpinion,
    Report,
    ReportDraft,
    ReviewComment,
    ReviewPolicy,
)
from cases.review.reported import from_outside
from evidence.custody import actions as custody
from evidence.custody import handing
from evidence.custody.models import Seal
from evidence.custody.queries import custody_of
from evidence.items.kinds import parts_of
from evidence.items.models import Item
from evidence.results import actions as results
from evidence.specimens import actions as evidence
from findings import actions
from findings.models import Examination, Finding
from findings.paths import actions as path_actions
from findings.systems import actions as systems
from findings.systems.models import SystemPart
from findings.systems.offered import STANDARD
from me_office.audit.models import Record, rows_of
from me_office.demo.play import Given, Play, as_request, own_work


def _version(model: type[Record], **which: UUID) -> int:
    """Return the version of a record as it stands: what the page has read."""
    return rows_of(model).get(**which).version


def _read(model: type[Record], named: str, play: Play, given: Given) -> dict[str, Any]:
    """Return the key, by the action's name of it, and the version of what the act is about."""
    key = play.key(given.act.about)
    return {named: key, "version": _version(model, pk=key)}


def log_report_of_death(play: Play, given: Given) -> None:
    """Log the first call."""
    case_actions.log_report_of_death(given.actor, record_id=play.case_id, entry=given.entry)


def accept_jurisdiction(play: Play, given: Given) -> None:
    """Accept jurisdiction."""
    version = _version(Case, pk=play.case_id)
    case_actions.accept_jurisdiction(
        given.actor, version=version, record_id=given.key, **given.entry, **given.common
    )


def decline_jurisdiction(play: Play, given: Given) -> None:
    """Decline jurisdiction."""
    version = _version(Case, pk=play.case_id)
    case_actions.decline_jurisdiction(
        given.actor, version=version, record_id=given.key, **given.entry, **given.common
    )


def assign_case(play: Play, given: Given) -> None:
    """Assign investigator and pathologist."""
    version = _version(Case, pk=play.case_id)
    case_actions.assign_case(given.actor, version=version, entry=given.entry, **given.common)


def restrict_case(play: Play, given: Given) -> None:
    """Open the case to its named team only."""
    version = _version(Case, pk=play.case_id)
    case_actions.restrict_case(given.actor, version=version, **given.entry, **given.common)


def describe_decedent(play: Play, given: Given) -> None:
    """Say more of the decedent."""
    version = _version(Decedent, case_id=play.case_id)
    case_actions.describe_decedent(given.actor, version=version, entry=given.entry, **given.common)


def record_examination(play: Play, given: Given) -> None:
    """Write in the examination."""
    version = _version(Examination, case_id=play.case_id)
    actions.record_examination(given.actor, version=version, entry=given.entry, **given.common)


def record_finding(play: Play, given: Given) -> None:
    """Record a finding with its marks."""
    name = given.act.name
    marks = [
        {**mark, "id": play.key(f"{name} mark {n}")}
        for n, mark in enumerate(given.act.more["marks"])
    ]
    actions.record_finding(given.actor, marks=marks, **given.made)


def change_finding(play: Play, given: Given) -> None:
    """Change a finding."""
    there = _read(Finding, "finding_id", play, given)
    actions.change_finding(given.actor, entry=given.entry, **there, **given.common)


def record_layer(play: Play, given: Given) -> None:
    """Record a layer under a finding."""
    actions.record_layer(given.actor, finding_id=play.key(given.act.about), **given.made)


def record_interpretation(play: Play, given: Given) -> None:
    """Record what a finding may mean."""
    actions.record_interpretation(given.actor, finding_id=play.key(given.act.about), **given.made)


def answer_check(play: Play, given: Given) -> None:
    """Say of a check that it does not apply, or that the report goes without it."""
    checking.answer_check(given.actor, **given.said)


def confirm_negative(play: Play, given: Given) -> None:
    """Confirm one negative statement."""
    version = _version(Examination, case_id=play.case_id)
    actions.confirm_negative(given.actor, version=version, **given.act.more, **given.common)


def decide_part(play: Play, given: Given) -> None:
    """Decide one part of a body system, whatever stands of it."""
    row = SystemPart.objects.filter(case_id=play.case_id, part=given.act.more["part"]).first()
    systems.decide_part(
        given.actor,
        part=given.act.more["part"],
        record_id=row.pk if row else given.key,
        version=row.version if row else 0,
        entry=given.entry,
        **given.common,
    )


def state_part_negative(play: Play, given: Given) -> None:
    """State the negative of one part."""
    row = SystemPart.objects.filter(case_id=play.case_id, part=given.act.more["part"]).first()
    version = row.version if row else 0
    systems.state_part_negative(given.actor, version=version, **given.act.more, **given.common)


def use_template(play: Play, given: Given) -> None:
    """Lay the standard sentences of a system."""
    systems.use_template(given.actor, template=STANDARD, **given.act.more, **given.common)


def record_path(play: Play, given: Given) -> None:
    """Record the path of a wound."""
    said = given.made
    if "exit_finding" in given.entry:
        other = Finding.objects.get(pk=given.entry["exit_finding"])
        said["entry"] = {**given.entry, "exit_finding": other}
    path_actions.record_path(given.actor, finding_id=play.key(given.act.about), **said)


def _item(play: Play, name: str) -> Item:
    key = play.key(name)
    found: Item = (
        (Item.objects.filter(specimen=key) | Item.objects.filter(property=key)).distinct().get()
    )
    return found


def record_transfer(play: Play, given: Given) -> None:
    """Hand an item on from whoever holds it; how its seal stands is read from the record."""
    item = _item(play, given.act.about)
    chain = custody_of(item).chain
    of_the_office = {str(person): person for person in play.staff.values()}
    entry = {
        "seal_state": "intact" if chain.sealed else "broken",
        "from_staff": of_the_office.get(chain.holder),
        "to_staff": of_the_office.get(given.entry["to_party"]),
        **given.entry,
    }
    custody.record_transfer(
        given.actor,
        item_id=item.pk,
        record_id=given.key,
        version=item.version,
        entry=entry,
        **given.common,
    )


def record_kit(play: Play, given: Given) -> None:
    """Record several specimens under one seal."""
    parts = parts_of("\n".join(given.act.more["parts"]))
    evidence.record_kit(given.actor, parts=parts, **given.made)


def hand_to_agency(play: Play, given: Given) -> None:
    """Hand items to an agency against a receipt."""
    items = [_item(play, name) for name in given.act.more["items"]]
    read = [(item.pk, item.version) for item in items]
    handing.hand_to_agency(given.actor, items=read, **given.made)


def break_seal(play: Play, given: Given) -> None:
    """Break the last seal of an item."""
    item = _item(play, given.act.about)
    seal: Seal = Seal.objects.active().filter(item=item).order_by("applied_at", "id").reverse()[0]
    custody.break_seal(
        given.actor, seal_id=seal.pk, version=seal.version, entry=given.entry, **given.common
    )


def apply_seal(play: Play, given: Given) -> None:
    """Close an item again."""
    item = _item(play, given.act.about)
    entry = {"number": play.next_seal(), **given.entry}
    custody.apply_seal(
        given.actor,
        item_id=item.pk,
        record_id=given.key,
        version=item.version,
        entry=entry,
        **given.common,
    )


def submit_report(play: Play, given: Given) -> None:
    """Send the report to peer review, with what is not available acknowledged."""
    gaps = from_outside(play.case_id).not_available
    version = Report.objects.get(case_id=play.case_id).version
    more = dict(given.act.more)
    asked = more.pop("reviewer", "")
    review.submit_report(
        given.actor,
        record_id=given.key,
        version=version,
        acknowledged=[gap.key for gap in gaps],
        reviewer=play.staff[asked].pk if asked else None,
        **more,
        **given.common,
    )


def record_result(play: Play, given: Given) -> None:
    """Record what a laboratory or consultant reported on specimens named by their names."""
    entry = dict(given.entry)
    for name in ("reported_on", "received_on"):
        entry[name] = entry[name].astimezone(settings.OFFICE_ZONE).date()
    results.record_result(
        given.actor,
        record_id=given.key,
        entry=entry,
        items=[_item(play, name).pk for name in given.act.more["on"]],
        lines=given.act.more["lines"],
        **given.common,
    )


def add_addendum(play: Play, given: Given) -> None:
    """Add to the signed report; `about` names the result that it rests on, if any."""
    about = given.act.about
    review.add_addendum(given.actor, rests_on=play.key(about) if about else None, **given.made)


def comment_on_passage(play: Play, given: Given) -> None:
    """Comment on a passage of a draft."""
    review.comment_on_passage(given.actor, draft_id=play.key(given.act.about), **given.said)


def answer_comment(play: Play, given: Given) -> None:
    """Answer a comment."""
    there = _read(ReviewComment, "comment_id", play, given)
    review.answer_comment(given.actor, **there, **given.act.more, **given.common)


def reply_to_comment(play: Play, given: Given) -> None:
    """Reply in the thread of a comment."""
    threads.reply_to_comment(given.actor, comment_id=play.key(given.act.about), **given.said)


def change_review_policy(play: Play, given: Given) -> None:
    """Change the office's rules of review."""
    made = ReviewPolicy.objects.active().first()
    peer_actions.change_review_policy(
        given.actor,
        record_id=given.key,
        version=made.version if made else 0,
        entry=given.entry,
        reason=given.act.reason,
    )


def record_opinion(play: Play, given: Given) -> None:
    """Record a reviewer's own opinion on a draft."""
    peer_actions.record_opinion(given.actor, draft_id=play.key(given.act.about), **given.made)


def compare_opinion(play: Play, given: Given) -> None:
    """Put a reviewer's own opinion beside the author's."""
    there = _read(IndependentOpinion, "opinion_id", play, given)
    peer_actions.compare_opinion(given.actor, **there, **given.act.more, **given.common)


def settle_disagreement(play: Play, given: Given) -> None:
    """Record how a disagreement was settled."""
    there = _read(IndependentOpinion, "opinion_id", play, given)
    peer_actions.settle_disagreement(given.actor, **there, **given.act.more, **given.common)


def return_report(play: Play, given: Given) -> None:
    """Send a draft back."""
    review.return_report(given.actor, draft_id=play.key(given.act.about), **given.said)


def sign_off(play: Play, given: Given) -> None:
    """Sign a draft off."""
    draft = ReportDraft.objects.get(pk=play.key(given.act.about))
    review.sign_off(given.actor, draft_id=draft.pk, sha256=draft.sha256, **given.said)


def state_not_done(play: Play, given: Given) -> None:
    """State that something was not done."""
    case_actions.state_not_done(given.actor, **given.said)


def close_case(play: Play, given: Given) -> None:
    """Close the case without a report."""
    closing.close_case(given.actor, version=_version(Case, pk=play.case_id), **given.made)


def decide_cremation(play: Play, given: Given) -> None:
    """Approve or refuse a cremation."""
    asked = _read(CremationRequest, "request_id", play, given)
    disposing.decide_cremation(given.actor, **asked, **given.made)


def request_packet(play: Play, given: Given) -> None:
    """Ask for a release packet and build it at once, without waiting for a worker."""
    packets.request_packet(given.actor, request_id=play.key(given.act.about), **given.made)
    with as_request(own_work()):
        # The packet prints the trail: what was done before it has its time by then.
        make_requested(given.key, reached=lambda stage: play.catch_up())


def release_packet(play: Play, given: Given) -> None:
    """Hand a packet over."""
    packet = Packet.objects.get(pk=play.key(given.act.about))
    asked = RecordsRequest.objects.get(pk=packet.request_id)
    packets.release_packet(
        given.actor,
        case_id=play.case_id,
        packet_id=packet.pk,
        record_id=given.key,
        version=asked.version,
        entry={**given.entry, "released_by": given.actor, "released_at": timezone.now()},
    )


def write_report_again(play: Play, given: Given) -> None:
    """Change the report's words."""
    report = Report.objects.get(case_id=play.case_id)
    review.write_report(
        given.actor, version=report.version, **{**given.made, "record_id": report.pk}
    )


def record_appearance(play: Play, given: Given) -> None:
    """Record a date in court under a request, with a set that was made for it."""
    entry = dict(given.entry)
    for name, model in (("request", RecordsRequest), ("exhibit_set", ExhibitSet)):
        if name in entry:
            entry[name] = model.objects.get(pk=entry[name])
    appearances.record_appearance(given.actor, record_id=given.key, entry=entry, **given.common)


def record_testimony(play: Play, given: Given) -> None:
    """Say how a date in court went."""
    there = _read(Appearance, "record_id", play, given)
    appearances.record_testimony(given.actor, entry=given.entry, **there, **given.common)


def keep_short_key(play: Play, given: Given) -> None:
    """Keep a short key, of one's own or of the office."""
    drafting.keep_short_key(given.actor, record_id=given.key, version=0, entry=given.entry)


def keep_court_closure(play: Play, given: Given) -> None:
    """Keep days on which a court does no business."""
    counting.keep_court_closure(given.actor, record_id=given.key, version=0, entry=given.entry)


def count_due_day(play: Play, given: Given) -> None:
    """Count the due day of a request by a rule."""
    clock.count_due_day(given.actor, request_id=play.key(given.act.about), **given.made)


def keep_leave(play: Play, given: Given) -> None:
    """Keep days on which somebody is away."""
    calendars.keep_leave(given.actor, record_id=given.key, version=0, entry=given.entry)


def add_office_word(play: Play, given: Given) -> None:
    """Add a word that the office spells so."""
    drafting.add_office_word(given.actor, record_id=given.key, entry=given.entry)


def state_to_registrar(play: Play, given: Given) -> None:
    """State the certificate to the registrar for the first time."""
    version = _version(Certification, case_id=play.case_id)
    filing.state_to_registrar(given.actor, version=version, **given.made)


def record_qualification(play: Play, given: Given) -> None:
    """Record a line of one's own curriculum vitae."""
    qualifications.record_qualification(
        given.actor, person_id=given.actor.pk, record_id=given.key, entry=given.entry
    )


def list_testimony(play: Play, given: Given) -> None:
    """List a case in which one testified: of a date in court, or of before the office's record."""
    qualifications.list_testimony(
        given.actor,
        person_id=given.actor.pk,
        record_id=given.key,
        appearance_id=play.key(given.act.about) if given.act.about else None,
        entry=given.entry,
    )


def choose_daily_mail(play: Play, given: Given) -> None:
    """Ask for one's own daily mail."""
    measures.choose_daily_mail(given.actor, record_id=given.key, entry=given.entry)


def issue_curriculum(play: Play, given: Given) -> None:
    """Issue one's own curriculum vitae."""
    qualifications.issue_curriculum(given.actor, person_id=given.actor.pk, record_id=given.key)


def write_letter(play: Play, given: Given) -> None:
    """Begin a letter of the request that the act is about; `kind` says what it is for."""
    entry = dict(given.entry)
    letters.write_letter(
        given.actor, record_id=given.key, request_id=play.key(given.act.about),
        kind=entry.pop("kind"), entry=entry, **given.common,
    )  # fmt: skip


def make_letter(play: Play, given: Given) -> None:
    """Make the PDF of a draft."""
    letters.make_letter(given.actor, **_read(Letter, "letter_id", play, given), **given.common)


def record_letter_sent(play: Play, given: Given) -> None:
    """Record how a letter went out, a minute ago."""
    letters.record_letter_sent(
        given.actor, record_id=given.key, letter_id=play.key(given.act.about),
        entry={"sent_at": timezone.now(), **given.entry}, **given.common,
    )  # fmt: skip


def give_request(play: Play, given: Given) -> None:
    """Say who handles a request that nobody handles yet."""
    docket.give_request(
        given.actor, record_id=given.key, request_id=play.key(given.act.about),
        entry=given.entry, **given.common,
    )  # fmt: skip
