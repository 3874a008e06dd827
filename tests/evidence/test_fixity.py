"""The store is read again: what is missing or altered is named until somebody settles it."""

from __future__ import annotations

import errno
import io
from datetime import timedelta
from pathlib import Path
from unittest.mock import patch

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from evidence import store
from evidence.fixity import actions, queries, rules, tasks
from evidence.fixity.models import FixityProblem, FixityRun
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.audit.errors import NotAllowed, Refused
from me_office.audit.models import AuditEvent
from me_office.jobs.rules import MAX_ATTEMPTS
from tests.builders import make_staff
from tests.evidence.pictures import add, picture_bytes

pytestmark = pytest.mark.django_db
NEVER = timedelta(days=1000)


@pytest.fixture
def photographs(case):
    vasko = make_staff(Role.PATHOLOGIST)
    return [add(vasko, case, picture_bytes(1000 + n)) for n in range(5)]


def lose(photograph):
    default_storage.delete(photograph.file.path)


def alter(photograph):
    path = Path(default_storage.path(photograph.file.path))
    content = bytearray(path.read_bytes())
    content[30] ^= 1
    path.chmod(0o640)
    path.write_bytes(content)


@pytest.fixture(autouse=True)
def _nothing_broken_stays(db):
    yield
    for stored in StoredFile.objects.filter(fixity_problems__isnull=False):
        default_storage.delete(stored.path)


def checked():
    run = actions.begin_run(now=timezone.now())
    while run.finished_at is None:
        run = actions.go_on(run)
    return run


def test_a_whole_store_gives_no_alarm(photographs):
    run = checked()
    assert (run.files, run.problems) == (5, 0)
    assert run.size_bytes == sum(each.file.size_bytes for each in photographs)
    assert queries.last_finished() == run


def test_a_missing_and_an_altered_file_are_named_with_photograph_and_case(photographs, renn, case):
    lose(photographs[1])
    alter(photographs[3])
    assert checked().problems == 2
    found = {each.problem.kind: each for each in queries.problems(renn)}
    assert [each.photograph for each in found["missing"].concerned] == [photographs[1]]
    assert [each.photograph for each in found["altered"].concerned] == [photographs[3]]
    assert found["altered"].problem.found_sha256 == store.digest_of(photographs[3].file.path)
    event = AuditEvent.objects.filter(table="evidence_fixityproblem").last()
    assert (event.act, event.source) == ("check_store", "task")


def test_the_same_problem_found_again_is_one_problem(photographs):
    lose(photographs[0])
    checked()
    first = FixityProblem.objects.get()
    checked()
    again = FixityProblem.objects.get()
    assert again.pk == first.pk
    assert again.last_seen_at > first.last_seen_at


def test_a_run_that_died_goes_on_behind_the_last_file_it_noted(photographs):
    run = actions.go_on(actions.begin_run(now=timezone.now()), files=2)
    assert (run.files, run.finished_at) == (2, None)
    dead = patch.object(store.reading, "digest_of", side_effect=KeyboardInterrupt)
    with dead, pytest.raises(KeyboardInterrupt):
        actions.go_on(run, files=2)
    assert actions.begin_run(now=timezone.now()).pk == run.pk
    assert checked().files == 5


def test_two_jobs_on_one_run_count_each_file_once(photographs):
    run = actions.begin_run(now=timezone.now())
    other = FixityRun.objects.get(pk=run.pk)
    actions.go_on(run, files=3)
    assert actions.go_on(other, files=3).files == 3
    assert checked().files == 5


def test_a_file_that_comes_meanwhile_is_left_to_the_next_run(photographs, case):
    run = actions.begin_run(now=timezone.now())
    add(make_staff(Role.PATHOLOGIST), case, picture_bytes(2000))
    while run.finished_at is None:
        run = actions.go_on(run)
    assert run.files == 5


def test_reading_keeps_to_its_rate(photographs):
    rests: list[float] = []
    actions.go_on(
        actions.begin_run(now=timezone.now()), most_bytes_a_second=1000, rest=rests.append
    )
    assert len(rests) == 5
    assert rules.seconds_to_wait(size_bytes=5000, seconds=1, most_bytes_a_second=1000) == 4
    assert rules.seconds_to_wait(size_bytes=5000, seconds=9, most_bytes_a_second=1000) == 0
    assert rules.seconds_to_wait(size_bytes=5000, seconds=1, most_bytes_a_second=0) == 0


def test_the_job_begins_when_it_is_due_and_breeds_no_other(photographs, monkeypatch):
    monkeypatch.setattr(
        actions.go_on, "__kwdefaults__", {**actions.go_on.__kwdefaults__, "files": 1}
    )
    monkeypatch.setattr(
        tasks.check_store, "apply_async", lambda *_, **__: pytest.fail("it sent itself")
    )
    # One call a beat, each reads on; the last one finds that nothing is left.
    assert [tasks.check_store() for _ in range(6)] == ["going on"] * 5 + ["finished"]
    assert FixityRun.objects.get().files == 5
    assert tasks.check_store() == "not due"
    FixityRun.objects.update(begun_at=timezone.now() - rules.EVERY)
    assert tasks.check_store() == "going on"


def test_a_call_that_comes_while_another_one_reads_goes_away(photographs, monkeypatch):
    read, inner = store.digest_of, []

    def again(path):
        if not inner:
            inner.append(tasks.check_store())
        return read(path)

    monkeypatch.setattr(store.reading, "digest_of", again)
    assert tasks.check_store() == "going on"
    assert inner == ["under way"]
    assert FixityRun.objects.get().files == 5


def test_a_file_that_cannot_be_read_is_named_and_the_others_are_read(photographs, monkeypatch):
    read, bad = store.digest_of, {photographs[n].file.path for n in (0, 2)}

    def broken_disk(path):
        if path in bad:
            raise OSError(errno.EIO, "Input/output error")
        return read(path)

    monkeypatch.setattr(store.reading, "digest_of", broken_disk)
    assert (checked().files, checked().problems) == (5, 2)
    problems = FixityProblem.objects.all()
    assert {problem.kind for problem in problems} == {"unreadable"}
    assert {problem.file.path for problem in problems} == bad
    assert all(problem.whole_again_at is None for problem in problems)
    monkeypatch.undo()
    checked()
    assert all(problem.whole_again_at for problem in FixityProblem.objects.all())


def test_a_file_that_ends_its_worker_is_passed_over_and_named(photographs):
    with patch.object(store.reading, "digest_of", side_effect=KeyboardInterrupt):
        for _ in range(MAX_ATTEMPTS):
            with pytest.raises(KeyboardInterrupt):
                tasks.check_store()
        assert tasks.check_store() == "passed over"
    assert tasks.check_store() == "going on"
    problem = FixityProblem.objects.get()
    first = min((one.file for one in photographs), key=lambda one: one.pk)
    assert (problem.kind, problem.file) == ("unreadable", first)
    assert FixityRun.objects.get().files == 5


def test_a_file_that_is_whole_again_is_said_to_be_and_bad_again_too(photographs, client, renn):
    whole = photographs[1].file
    content = b"".join(store.original_chunks(whole))
    lose(photographs[1])
    checked()
    default_storage.save(whole.path, ContentFile(content))
    checked()
    problem = FixityProblem.objects.get()
    assert problem.whole_again_at is not None
    client.force_login(renn)
    assert "Intact again when read on" in client.get("/store/").content.decode()
    lose(photographs[1])
    checked()
    problem.refresh_from_db()
    assert (problem.kind, problem.whole_again_at) == ("missing", None)


def test_settling_needs_the_office_a_reason_and_happens_once(photographs, renn):
    lose(photographs[0])
    checked()
    problem = FixityProblem.objects.get()
    with pytest.raises(NotAllowed):
        actions.resolve_problem(
            make_staff(Role.PATHOLOGIST), problem_id=problem.pk, version=1, reason="seen"
        )
    with pytest.raises(Refused, match="Say why"):
        actions.resolve_problem(renn, problem_id=problem.pk, version=1, reason=" ")
    actions.resolve_problem(renn, problem_id=problem.pk, version=1, reason="Restored from tape 4")
    with pytest.raises(Refused, match="Someone else has already settled"):
        actions.resolve_problem(renn, problem_id=problem.pk, version=1, reason="again")
    event = AuditEvent.objects.filter(table="evidence_fixityproblem").last()
    assert (event.act, event.actor_name, event.reason) == (
        "resolve_problem", "D. Renn", "Restored from tape 4",
    )  # fmt: skip
    checked()  # it is still not there: the alarm comes again
    assert FixityProblem.objects.filter(resolved_at=None).count() == 1


def test_the_page_and_the_first_page_raise_the_alarm_until_it_is_settled(client, photographs, renn):
    lose(photographs[2])
    checked()
    client.force_login(renn)
    assert b"A stored file is missing" in client.get("/").content
    page = client.get("/store/").content.decode()
    assert photographs[2].file.sha256 in page
    assert f"Photograph 3 of case {photographs[2].case.label}" in page
    where = f"/store/{FixityProblem.objects.get().pk}/"
    assert client.post(where, {"reason": "", "version": 1}).status_code == 422
    done = client.post(where, {"reason": "Restored from tape 4", "version": 1}, follow=True)
    assert b"Every file is intact" in done.content
    assert b"Restored from tape 4" in done.content
    assert b"A stored file is missing" not in client.get("/").content


@pytest.mark.parametrize("role", [Role.PATHOLOGIST, Role.RECORDS_CLERK, Role.ADMINISTRATOR])
def test_the_page_is_for_those_who_look_after_the_store(client, role):
    client.force_login(make_staff(role))
    assert client.get("/store/").status_code == 403


def test_a_restricted_case_is_not_named_to_others(photographs, renn, case):
    lose(photographs[0])
    case.restricted = True
    case.save()
    checked()
    [found] = queries.problems(renn)
    assert (found.concerned, found.hidden) == ([], 1)


def test_the_page_reads_a_fixed_number_of_times(client, photographs, renn):
    client.force_login(renn)

    def statements():
        with CaptureQueriesContext(
            connection,
        ) as seen:
            assert client.get("/store/").status_code == 200
        return len(seen)

    lose(photographs[0])
    checked()
    one = statements()
    for each in photographs[1:]:
        lose(each)
    checked()
    assert FixityProblem.objects.count() == 5
    # One for each kind of record that rests on a file.
    assert statements() == one <= 25


def test_the_command_says_what_is_wrong_and_fails(photographs):
    out = io.StringIO()
    call_command("check_store", stdout=out)
    assert "5 files checked" in out.getvalue()
    assert "All are intact" in out.getvalue()
    lose(photographs[0])
    out = io.StringIO()
    with pytest.raises(CommandError, match="1 file of the store is damaged"):
        call_command("check_store", stdout=out)
    assert f"missing: {photographs[0].file.sha256}" in out.getvalue()
