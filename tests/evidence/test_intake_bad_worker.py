"""A real worker is given every odd file, and broken ones that no intake would let pass."""

from __future__ import annotations

import io

import pytest
from django.db import connection

from evidence import store
from evidence.photographs import actions
from evidence.photographs.models import DerivedImage, Photograph
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.conftest import LONGEST_WAIT, Worker
from tests.evidence.bad_pictures import REFUSED, TAKEN
from tests.evidence.pictures import add, described, picture_bytes

# What its readers cannot make a picture of. The others that are refused are pictures, of a kind.
HOPELESS = (
    "zero bytes",
    "truncated PNG",
    "truncated TIFF",
    "program named JPEG",
    "huge PNG",
    "PNG just above the limit",
    "huge JPEG",
    "SVG with script",
    "PNG text that unpacks to 128 MB",
)


def force_in(actor, case, name, content) -> Photograph:
    """Record a file without looking at it, as if the check had a gap."""
    with store.receive(io.BytesIO(content), name=name) as incoming:
        return actions.add_photograph(
            actor,
            case_id=case.pk,
            record_id=new_id(),
            incoming=incoming.recognized(media_type="image/jpeg", width_px=1, height_px=1),
            entry=described(),
        )


def wait_for_previews() -> None:
    """Wait until the worker has come to an end with every photograph."""
    for _ in range(LONGEST_WAIT * 10):
        if not Photograph.objects.filter(preview="waiting").exists():
            return
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_sleep(0.1)")
    pytest.fail("a photograph waits for its preview still")


def test_a_worker_makes_what_can_be_made_and_outlives_the_rest(worker: Worker):
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    worker.start()
    taken = [make() for make in TAKEN.values()]
    odd = [add(vasko, case, content, name=name) for name, content in taken]
    hopeless = [force_in(vasko, case, *REFUSED[what]()[:2]) for what in HOPELESS]
    good = add(vasko, case, picture_bytes(3))
    wait_for_previews()
    assert worker.process is not None and worker.process.poll() is None
    states = dict(Photograph.objects.values_list("pk", "preview"))
    assert {states[each.pk] for each in odd} == {"made"}
    assert dict.fromkeys(HOPELESS, "failed") == {
        what: states[each.pk] for what, each in zip(HOPELESS, hopeless, strict=True)
    }
    assert states[good.pk] == "made"
    assert DerivedImage.objects.count() == 2 * (len(odd) + 1)
    assert all(store.is_whole(copy.file) for copy in DerivedImage.objects.select_related("file"))
