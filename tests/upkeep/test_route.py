"""The office asks itself through its own address, and sees what a proxy on the way does."""

from __future__ import annotations

import socket
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from ipaddress import ip_network
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from django.core import signing
from django.http import Http404, HttpRequest
from django.test import Client, RequestFactory

from me_office.audit.address import OnlyTrustedProxies
from me_office.upkeep import route

VISITOR = "198.51.100.7"


def certificate(folder: Path, days: int = 60) -> Path:
    """Make a certificate for localhost that only its own copy vouches for, with its key."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "localhost")])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name).issuer_name(name).public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(minutes=5))
        .not_valid_after(now + timedelta(days=days, hours=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("localhost")]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )  # fmt: skip
    path = folder / "both.pem"
    path.write_bytes(
        made.public_bytes(serialization.Encoding.PEM)
        + key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    return path


Headers = Callable[[dict[str, str]], dict[str, str]]


@contextmanager
def proxy(kept: Path, headers: Headers, *, largest: int = 2**40) -> Iterator[str]:
    """Serve as a proxy with TLS does, in front of the one page that answers."""

    class Passing(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_GET(self) -> None:
            said = headers(dict(self.headers))
            meta = {f"HTTP_{name.upper().replace('-', '_')}": text for name, text in said.items()}
            request = RequestFactory().get(self.path, REMOTE_ADDR="192.0.2.9", **meta)
            try:
                answer = OnlyTrustedProxies(route.route)(request)
                status, body = answer.status_code, answer.content
            except Http404:
                status, body = 404, b"?"
            self.send_response(status)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def handle_expect_100(self) -> bool:
            if int(self.headers["Content-Length"]) > largest:
                self.send_response(413)
                self.end_headers()
                self.close_connection = True
                return False
            return super().handle_expect_100()

        def do_POST(self) -> None:
            self.close_connection = True

        def log_message(self, *_: object) -> None:
            pass

    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(kept)
    server = ThreadingHTTPServer(("127.0.0.1", 0), Passing)
    server.daemon_threads = True
    server.socket = context.wrap_socket(server.socket, server_side=True)
    server.handle_error = lambda *_: None  # type: ignore[method-assign]
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    try:
        yield f"https://localhost:{server.server_address[1]}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def as_it_has_to(sent: dict[str, str]) -> dict[str, str]:
    return sent | {"X-Forwarded-For": VISITOR, "X-Forwarded-Proto": "https"}


def as_it_came(sent: dict[str, str]) -> dict[str, str]:
    return sent | {"X-Forwarded-Proto": "https"}


def appended(sent: dict[str, str]) -> dict[str, str]:
    return sent | {"X-Forwarded-For": f"{sent['X-Forwarded-For']}, {VISITOR}"}


@pytest.fixture(autouse=True)
def behind_a_proxy(settings) -> None:
    settings.TRUSTED_PROXIES = (ip_network("192.0.2.8/29"),)
    settings.SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    settings.HTTPS = True


@pytest.fixture
def believed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    kept = certificate(tmp_path)
    monkeypatch.setenv("SSL_CERT_FILE", str(kept))
    return kept


def test_a_right_proxy_is_seen_to_be_right(believed: Path):
    with proxy(believed, as_it_has_to) as origin:
        seen = route.ask(origin)
    assert seen == route.Seen("", "", 60, 200, True, VISITOR, "192.0.2.9", True, False)


def test_what_a_proxy_passes_on_or_leaves_out_is_seen(believed: Path, settings):
    with proxy(believed, as_it_came) as origin:
        assert route.ask(origin).said == route.FORGED
    with proxy(believed, appended) as origin:
        seen = route.ask(origin)
        assert (seen.said, seen.secure) == (VISITOR, False)
        settings.TRUSTED_PROXIES = ()
        seen = route.ask(origin)
        assert (seen.believed, seen.peer) == (False, "192.0.2.9")


def test_a_bound_below_the_largest_photograph_is_seen_without_sending_one(believed: Path, settings):
    with proxy(believed, as_it_has_to, largest=2**20) as origin:
        settings.PHOTOGRAPH_MAX_BYTES = 2**20 + 1
        assert route.ask(origin).refuses_photographs is True
        settings.PHOTOGRAPH_MAX_BYTES = 2**20
        assert route.ask(origin).refuses_photographs is False


def test_a_certificate_that_nobody_vouches_for_is_said_and_what_lies_behind_is_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    (tmp_path / "none.pem").touch()
    with proxy(certificate(tmp_path), as_it_has_to) as origin:
        seen = route.ask(origin)
    assert "self-signed" in seen.certificate_fault and seen.certificate_days is None
    assert seen.secure is True


def test_nobody_there_is_said(believed: Path):
    with proxy(believed, as_it_has_to) as origin:
        pass
    assert route.ask(origin) == route.Seen("Connection refused")


def test_who_takes_the_question_and_says_nothing_is_late(
    believed: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(route, "SECONDS", 0.05)
    with socket.create_server(("127.0.0.1", 0)) as silent:
        seen = route.ask(f"http://127.0.0.1:{silent.getsockname()[1]}")
    assert seen == route.Seen(late=True)


def test_who_has_another_secret_is_somebody_else(believed: Path, settings):
    own = settings.SECRET_KEY

    def with_another(sent: dict[str, str]) -> dict[str, str]:
        settings.SECRET_KEY = own[::-1]
        return as_it_has_to(sent)

    with proxy(believed, with_another) as origin:
        seen = route.ask(origin)
    assert (seen.status, seen.secure, seen.unreached) == (404, None, "")


def test_an_answer_to_another_question_counts_for_nothing():
    told = {"word": "then", "secure": True}
    assert route._read(signing.dumps(told, salt=route.ANSWER).encode(), "now") is None
    assert route._read(signing.dumps(told, salt=route.ANSWER).encode(), "then") == told
    assert route._read(b"\xff", "now") is None


@pytest.mark.django_db
def test_a_stranger_finds_no_page(client: Client):
    for headers in ({}, {"X-Office-Question": "please"}):
        assert client.get(route.PATH, headers=headers).status_code == 404
    asked = {route.HEADER: signing.dumps("word", salt=route.QUESTION)}
    assert client.get(route.PATH, headers=asked).status_code == 200


def test_an_old_question_is_not_answered(monkeypatch: pytest.MonkeyPatch):
    request: HttpRequest = RequestFactory().get(
        route.PATH, headers={route.HEADER: signing.dumps("word", salt=route.QUESTION)}
    )
    assert route.route(request).status_code == 200
    monkeypatch.setattr(route, "ANSWERED_WITHIN_SECONDS", -1)
    with pytest.raises(Http404):
        route.route(request)
