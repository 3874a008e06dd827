"""A broken download goes on where it stopped: RFC 9110, sections 13.1.5, 14 and 15.5.17."""

from __future__ import annotations

import hashlib
import http.client
import io
import os
from contextlib import closing
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.http import HttpRequest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from evidence import store
from me_office.accounts.roles import Role
from me_office.audit.models import AccessEvent
from me_office.shell.ranges import StoredBytes, Unsatisfiable, Window, send_bytes, wanted
from tests.builders import make_case, make_staff
from tests.conftest import LONGEST_WAIT
from tests.evidence.pictures import add, picture_bytes
from tests.evidence.test_storage_kinds import bucket_server, kind  # noqa: F401
from tests.evidence.tus import Sender
from tests.platform.test_slow_connections import web_server

SENT = StoredBytes("ab" * 32, 10_000, "image/jpeg")


def asked(method: str = "GET", **headers: str) -> HttpRequest:
    request = HttpRequest()
    request.method = method
    request.META = {f"HTTP_{name.upper()}": value for name, value in headers.items()}
    return request


@pytest.mark.parametrize(
    ("header", "part"),
    [
        # The examples of section 14.1.2, for a representation of 10,000 bytes.
        ("bytes=0-499", (0, 500)),
        ("bytes=500-999", (500, 500)),
        ("bytes=-500", (9500, 500)),
        ("bytes=9500-", (9500, 500)),
        ("bytes=0-0", (0, 1)),
        ("bytes=9999-", (9999, 1)),
        ("bytes=9999-20000", (9999, 1)),
        ("bytes=-20000", (0, 10_000)),
        ("Bytes= 3 - 4 ", (3, 2)),
        # Ignored: another unit, several at once, nothing, backward, no numbers.
        ("items=0-5", None),
        ("bytes=0-0,-1", None),
        ("bytes=-", None),
        ("bytes=5-4", None),
        ("bytes=a-b", None),
        ("bytes=" + "9" * 100 + "-", None),
        ("", None),
    ],
)
def test_one_range_is_read_as_the_standard_says(header, part):
    assert wanted(asked(range=header), SENT) == part


@pytest.mark.parametrize("header", ["bytes=10000-", "bytes=10000-10001", "bytes=-0"])
def test_a_range_behind_the_end_is_not_satisfiable(header):
    with pytest.raises(Unsatisfiable):
        wanted(asked(range=header), SENT)
    answer = send_bytes(asked(range=header), SENT, lambda *_: pytest.fail("opened"))
    assert (answer.status_code, answer["Content-Range"]) == (416, "bytes */10000")


@pytest.mark.parametrize(
    ("unless", "part"),
    [
        (SENT.etag, (5, 9995)),
        (f"W/{SENT.etag}", None),  # a weak tag never matches here
        ('"other"', None),
        ("Sat, 28 Nov 2026 07:00:00 GMT", None),
    ],
)
def test_a_range_of_other_bytes_is_answered_with_all(unless, part):
    headers = {"HTTP_RANGE": "bytes=5-", "HTTP_IF_RANGE": unless}
    request = asked()
    request.META = headers
    assert wanted(request, SENT) == part
    assert wanted(asked("HEAD", range="bytes=5-"), SENT) is None


@given(st.binary(min_size=1, max_size=300), st.data())
def test_a_window_is_a_file_of_its_own(content, data):
    first = data.draw(st.integers(0, len(content) - 1))
    length = data.draw(st.integers(0, len(content) - first))
    window, plain = Window(io.BytesIO(content), first, length), io.BytesIO(content[first:][:length])
    for move in data.draw(st.lists(st.tuples(st.sampled_from("rse"), st.integers(0, 400)))):
        how, number = move
        if how == "r":
            assert window.read(number) == plain.read(number)
        elif how == "s":
            window.seek(min(number, length))
            plain.seek(min(number, length))
        else:
            assert window.seek(0, 2) == plain.seek(0, 2) == length
        assert window.tell() == plain.tell()
    window.seek(0)
    assert window.read() == content[first : first + length]


@pytest.mark.django_db
@pytest.mark.filterwarnings("ignore::ResourceWarning")
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_parts_of_a_stored_file_come_from_both_kinds_of_storage(kind):  # noqa: F811
    content = os.urandom(100_000)
    path = default_storage.save("originals/aa/x", io.BytesIO(content))
    for first, length in ((0, 100_000), (0, 1), (99_999, 1), (5_000, 70_000), (3, 0)):
        with closing(store.open_part(path, first, length)) as part:
            assert part.read() == content[first : first + length]


@pytest.mark.django_db
def test_a_broken_download_of_an_original_goes_on_and_every_look_is_noted(client):
    vasko = make_staff(Role.PATHOLOGIST)
    content = picture_bytes(size=(300, 200), quality=100)
    photograph = add(vasko, make_case(), content)
    client.force_login(vasko)
    where = reverse("evidence:photograph-original", args=[photograph.case_id, photograph.pk])
    head = client.head(where)
    assert (head.status_code, head["Content-Length"]) == (200, str(len(content)))
    assert head.content == b""
    assert AccessEvent.objects.filter(what__startswith="original").count() == 0
    first = client.get(where, headers={"Range": "bytes=0-999"})
    rest = client.get(where, headers={"Range": "bytes=1000-", "If-Range": head["ETag"]})
    assert (first.status_code, rest.status_code) == (206, 206)
    assert rest["Content-Range"] == f"bytes 1000-{len(content) - 1}/{len(content)}"
    assert first.getvalue() + rest.getvalue() == content
    assert head["ETag"] == f'"{hashlib.sha256(content).hexdigest()}"'
    assert AccessEvent.objects.filter(what="original, in part").count() == 2
    client.force_login(make_staff(Role.ADMINISTRATOR))
    for method in (client.head, client.get):
        assert method(where, headers={"Range": "bytes=0-9"}).status_code == 404


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("processes")
def test_one_connection_serves_parts_heads_and_a_refused_piece_in_order(client):
    """The web server sends the parts by itself, and no answer is taken for another's."""
    vasko = make_staff(Role.PATHOLOGIST)
    content = os.urandom(3_000_000)
    case = make_case()
    photograph = add(vasko, case, picture_bytes())
    path = photograph.file.path
    there = Path(default_storage.path(path))
    there.chmod(0o640)
    there.write_bytes(content)
    type(photograph.file).objects.filter(pk=photograph.file_id).update(size_bytes=len(content))
    client.force_login(vasko)
    upload = Sender(client, case, picture_bytes(7))
    upload.begin()
    cookie = f"sessionid={client.cookies['sessionid'].value}"
    base = {"Host": "localhost", "X-Forwarded-Proto": "https", "Cookie": cookie}
    where = reverse("evidence:photograph-original", args=[case.pk, photograph.pk])
    with (
        web_server() as port,
        closing(http.client.HTTPConnection("127.0.0.1", port, timeout=LONGEST_WAIT)) as link,
    ):

        def send(method: str, path: str, body: bytes | None = None, **more: str):
            link.request(method, path, body=body, headers={**base, **more})
            answer = link.getresponse()
            return answer.status, answer.read()

        assert send("HEAD", where) == (200, b"")
        assert send("GET", where, Range="bytes=0-1999999") == (206, content[:2_000_000])
        refused = send(
            "PATCH", upload.path, b"x" * 500_000,
            **{"Upload-Offset": "77", "Tus-Resumable": "1.0.0",
               "Content-Type": "application/offset+octet-stream"},
        )  # fmt: skip
        assert refused[0] in {403, 409}
        assert send("GET", where, Range="bytes=2000000-") == (206, content[2_000_000:])
        assert send("GET", where, Range="bytes=3000000-")[0] == 416
        assert send("GET", where) == (200, content)
        assert send("GET", "/health/")[0] == 200
