"""Each thing that an administrator gets wrong on the first day is found by name; a right office
has nothing to say."""

from __future__ import annotations

import smtplib
from collections.abc import Callable
from dataclasses import dataclass, replace
from ipaddress import ip_network
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import redis
from allauth.mfa.models import Authenticator
from django.conf import settings as office_settings
from django.contrib.staticfiles.storage import staticfiles_storage
from django.db import OperationalError, connection
from django.utils import timezone

from cases.letters.models import LetterMail
from cases.measures.mail_rules import MOST_TRIES
from cases.measures.models import DailyMailSent
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.upkeep import beats, conditions, route
from me_office.upkeep.conditions import Said, State
from me_office.upkeep.parts import broker, database, machine, mail, role
from tests.builders import make_case, make_staff
from tests.letters.builders import made, mailed
from tests.packets.builders import make_clerk, make_request

ORIGIN = "https://office.invalid"
WELL = route.Seen("", "", 80, 200, True, "198.51.100.7", "192.0.2.9", True, False)


@dataclass
class Office:
    """A right office, and what a fault is planted with."""

    patch: pytest.MonkeyPatch
    settings: Any
    home: Path
    boss: Staff

    def sql(self, statement: str) -> None:
        """As the owner of the cluster; then again as the office."""
        with connection.cursor() as cursor:
            cursor.execute(f"RESET ROLE; {statement}; SET LOCAL ROLE office_app")

    def seen(self, **changed: object) -> None:
        seen = replace(WELL, **changed)
        self.patch.setattr(route, "ask", lambda origin: seen)

    def never_seen(self, name: str) -> None:
        seen = beats.last
        self.patch.setattr(beats, "last", lambda one: None if one == name else seen(one))

    def broker(self, **changed: object) -> None:
        real = redis.Redis.from_url(office_settings.REDIS_URL)
        told = {"ping": real.ping, "info": real.info, "set": real.set, "get": real.get,
                "close": real.close, **changed}  # fmt: skip
        self.patch.setattr(broker.redis.Redis, "from_url", lambda *_, **__: SimpleNamespace(**told))


@pytest.fixture
def office(db: None, application_role_password: str, monkeypatch, settings, tmp_path) -> Office:
    boss = make_staff(Role.ADMINISTRATOR, username="birch")
    Authenticator.objects.create(user=boss, type=Authenticator.Type.TOTP, data={"secret": "x"})
    for name in ("DATA_DIR", "SPOOL_DIR", "FILE_STORE"):
        folder = tmp_path / name
        folder.mkdir(mode=0o700)
        setattr(settings, name, folder)
    settings.EMBEDDED = settings.TESTING = settings.DEBUG = settings.MAIL_GIVEN_UP = False
    settings.HTTPS = settings.REQUIRE_SECOND_FACTOR = settings.STORE_IS_FOLDER = True
    settings.EMAIL_HOST, settings.CSRF_TRUSTED_ORIGINS = "mail.invalid", [ORIGIN]
    settings.TRUSTED_PROXIES = (ip_network("192.0.2.8/29"),)
    monkeypatch.setattr(machine.os, "geteuid", lambda: 10001)
    monkeypatch.setattr(route, "ask", lambda origin: WELL)
    monkeypatch.setattr(mail, "why_not_sent", lambda: "")
    beats.note(beats.BEAT, *map(beats.worker, beats.QUEUES))
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL ROLE office_app")
    return Office(monkeypatch, settings, tmp_path, boss)


def looked(name: str) -> list[Said]:
    return list(conditions._parts[name].look())


Plant = Callable[[Office], object]
FAULTS: list[tuple[str, str, Plant, State, str, str]] = []


def fault(name: str, state: State, says: str, to_do: str) -> Callable[[Plant], Plant]:
    def note(plant: Plant) -> Plant:
        FAULTS.append((plant.__name__, name, plant, state, says, to_do))
        return plant

    return note


def raising(error: Exception) -> Callable[..., Any]:
    def refuse(*_: object, **__: object) -> Any:
        raise error

    return refuse


@fault("database", State.WRONG, "does not answer", "Start PostgreSQL")
def database_is_away(office: Office):
    away = SimpleNamespace(cursor=raising(OperationalError("connection refused")))
    office.patch.setattr(database, "connection", away)


@fault("tables", State.WRONG, "lack 1 migration", "manage.py migrate")
def a_migration_has_not_run(office: Office):
    office.patch.setattr(database, "standing", lambda connection: (["cases.0099_more"], []))


@fault("database role", State.DANGER, "is a superuser", "not the one that migrate runs as")
def the_office_is_a_superuser(office: Office):
    office.sql("ALTER ROLE office_app SUPERUSER")


@fault("database role", State.DANGER, "owns the tables", "not the one that migrate runs as")
def the_office_owns_a_table(office: Office):
    office.sql("GRANT CREATE ON SCHEMA public TO office_app")
    office.sql("ALTER TABLE cases_case OWNER TO office_app")


@fault("database role", State.DANGER, "may act as their owner", "not the one that migrate runs as")
def the_office_is_a_member_of_the_owner(office: Office):
    office.sql("CREATE ROLE county NOLOGIN; ALTER TABLE cases_case OWNER TO county")
    office.sql("GRANT county TO office_app")


@fault("database role", State.DANGER, "may make roles", "NOCREATEROLE")
def the_office_may_make_roles(office: Office):
    office.sql("ALTER ROLE office_app CREATEROLE")


@fault("database role", State.WRONG, "lacks INSERT on cases_case", "manage.py grant_app_role")
def a_table_was_not_granted(office: Office):
    office.sql("REVOKE INSERT ON cases_case FROM office_app")


@fault("database role", State.DANGER, "DELETE on cases_case", "manage.py grant_app_role")
def the_office_may_delete_cases(office: Office):
    office.sql("GRANT DELETE ON cases_case TO office_app")


@fault("database server", State.WRONG, "PostgreSQL 15", "later PostgreSQL")
def postgresql_is_too_old(office: Office):
    office.patch.setattr(role, "server_version", lambda: 150017)


@fault("database server", State.WRONG, "keeps SQL_ASCII", "ENCODING 'UTF8'")
def the_database_keeps_no_letters(office: Office):
    office.patch.setattr(role, "database_locale", lambda: ("SQL_ASCII", "1", "1"))


@fault("database server", State.DANGER, "sorts text another way", "REINDEX DATABASE")
def the_system_sorts_another_way(office: Office):
    office.patch.setattr(role, "database_locale", lambda: ("UTF8", "2.31", "2.36"))


@fault("database server", State.WRONG, "does not know the zone", "tzdata")
def the_database_does_not_know_the_zone(office: Office):
    office.settings.TIME_ZONE = "Mars/Olympus"


@fault("clock", State.DANGER, "3 s behind", "set-ntp")
def the_clock_is_late(office: Office):
    office.patch.setattr(role, "seconds_apart", lambda: 3.2)


@fault("clock", State.DANGER, "3 s ahead of", "set-ntp")
def the_clock_is_early(office: Office):
    office.patch.setattr(role, "seconds_apart", lambda: -3.2)


@fault("static files", State.WRONG, "every page ends in an error", "collectstatic")
def static_files_were_not_collected(office: Office):
    office.patch.setattr(staticfiles_storage, "url", raising(ValueError("?")), raising=False)


@fault("broker", State.WRONG, "does not answer", "Start Redis")
def the_queue_is_away(office: Office):
    office.broker(ping=raising(redis.ConnectionError("refused")))


@fault("broker", State.WRONG, "refuses the password", "password in REDIS_URL")
def the_queue_has_another_password(office: Office):
    office.broker(ping=raising(redis.AuthenticationError("WRONGPASS")))


@fault("broker", State.DANGER, "Another office", "redis-cli -u REDIS_URL DEL")
def the_queue_is_another_offices(office: Office):
    office.broker(get=lambda _: b"somebody else")


@fault("broker", State.DANGER, "throws away messages", "noeviction")
def the_queue_forgets(office: Office):
    office.broker(info=lambda _: {"maxmemory": 2**28, "maxmemory_policy": "allkeys-lru"})


@fault("worker of long jobs", State.WRONG, "Packets", "-Q long")
def no_worker_for_long_jobs(office: Office):
    office.never_seen(beats.worker("long"))


@fault("worker of quick jobs", State.WRONG, "Pictures", "office-worker-quick")
def no_worker_for_quick_jobs(office: Office):
    office.never_seen(beats.worker("quick"))


@fault("beat", State.WRONG, "None has been seen", "systemctl start office-beat")
def no_beat(office: Office):
    office.never_seen(beats.BEAT)


@fault("folders", State.DANGER, "runs as root", "runuser -u office")
def everything_runs_as_root(office: Office):
    office.patch.setattr(machine.os, "geteuid", lambda: 0)


@fault("folders", State.WRONG, "ME_FILE_STORE names a folder that is not there", "install -d")
def the_store_is_not_there(office: Office):
    office.settings.FILE_STORE = office.home / "nowhere"


@fault("folders", State.WRONG, "ME_SPOOL_DIR names a folder that is not there", "install -d")
def the_spools_disk_is_not_there(office: Office):
    office.settings.SPOOL_DIR = office.home / "nowhere" / "unfinished"


@fault("folders", State.WRONG, "ME_DATA_DIR names a folder that this account can't", "install -d")
def the_folder_cannot_be_written_to(office: Office):
    data = office.settings.DATA_DIR
    office.patch.setattr("os.access", lambda path, mode: path != data)


@fault("folders", State.DANGER, "can look into", "chmod o-rwx")
def everybody_can_look_into_the_store(office: Office):
    office.settings.FILE_STORE.chmod(0o755)


@fault("disk room", State.DANGER, "0.9 GB are left", "Make room")
def little_room(office: Office):
    office.settings.STORE_LITTLE_ROOM_BYTES = 10**9
    office.patch.setattr(machine, "room_at", lambda path: (9 * 10**8, None))


@fault("disk room", State.DANGER, "9999 more files", "df -i")
def few_entries(office: Office):
    office.patch.setattr(machine, "room_at", lambda path: (10**12, 9999))


@fault("documents", State.WRONG, "No PDF can be made", "requirements.txt")
def nothing_can_be_typeset(office: Office):
    office.patch.setattr(machine, "typeset", raising(RuntimeError("no faces")))


@fault("pictures", State.WRONG, "can't be read (OSError)", "requirements.txt")
def no_picture_can_be_read(office: Office):
    office.patch.setattr("PIL.Image.open", raising(OSError("decoder jpeg not available")))


@fault("settings", State.DANGER, "ME_DEBUG", "Take ME_DEBUG away")
def debugging(office: Office):
    office.settings.DEBUG = True


@fault("settings", State.DANGER, "ME_TESTING", "Take ME_TESTING away")
def testing(office: Office):
    office.settings.TESTING = True


@fault("settings", State.DANGER, "ME_HTTPS is 0", "proxy with TLS")
def no_tls(office: Office):
    office.settings.HTTPS = False


@fault("settings", State.WRONG, "names no proxy", "Name the proxy")
def no_proxy_is_named(office: Office):
    office.settings.TRUSTED_PROXIES = ()


@fault("settings", State.DANGER, "ME_REQUIRE_SECOND_FACTOR is 0", "Take ME_REQUIRE")
def no_second_factor_is_asked_for(office: Office):
    office.settings.REQUIRE_SECOND_FACTOR = False


@fault("address", State.WRONG, "can't be reached", "Start the proxy")
def nobody_answers(office: Office):
    office.seen(unreached="Connection refused", secure=None)


@fault("address", State.WRONG, "gave this machine no answer within 4 s", "See how busy")
def the_web_is_slow(office: Office):
    office.seen(late=True, secure=None)


@fault("address", State.WRONG, "is not believed here: self-signed", "whole chain")
def the_certificate_is_nobodys(office: Office):
    office.seen(certificate_fault="self-signed certificate", certificate_days=None)


@fault("address", State.DANGER, "ends in 20 days", "reload the proxy")
def the_certificate_ends(office: Office):
    office.seen(certificate_days=20)


@fault("address", State.DANGER, "ends within a day", "reload the proxy")
def the_certificate_ends_today(office: Office):
    office.seen(certificate_days=0)


@fault("address", State.DANGER, "ends in 1 day.", "reload the proxy")
def the_certificate_ends_tomorrow(office: Office):
    office.seen(certificate_days=1)


@fault("address", State.WRONG, "refuses the name", "Host $host")
def the_name_is_not_passed_on(office: Office):
    office.seen(status=400, secure=None)


@fault("address", State.WRONG, "finds no web process", "start office-web")
def the_web_process_is_away(office: Office):
    office.seen(status=502, secure=None)


@fault("address", State.WRONG, "web process with", "restart the web")
def somebody_else_answers(office: Office):
    office.seen(status=200, secure=None)


@fault("address", State.WRONG, "come from 192.0.2.9", "add 192.0.2.9 to ME_TRUSTED_PROXIES")
def the_proxy_is_not_named(office: Office):
    office.seen(believed=False)


@fault("address", State.DANGER, "as visitors wrote it", "X-Forwarded-For $remote_addr")
def the_proxy_passes_on_what_visitors_say(office: Office):
    office.seen(said=route.FORGED)


@fault("address", State.WRONG, "does not say who asks", "X-Forwarded-For $remote_addr")
def the_proxy_does_not_say_who_asks(office: Office):
    office.seen(said="")


@fault("address", State.WRONG, "came by https", "X-Forwarded-Proto")
def the_proxy_does_not_say_how(office: Office):
    office.seen(secure=False)


@fault("address", State.WRONG, "refuses photographs", "client_max_body_size 128m")
def the_proxy_refuses_photographs(office: Office):
    office.seen(refuses_photographs=True)


@fault("daily mail", State.DANGER, "1 daily mail of", "Look at the mail server")
def a_daily_mail_was_not_sent(office: Office):
    DailyMailSent.objects.create(
        person=office.boss, day=timezone.localdate(), tries=MOST_TRIES, fault="Connection refused"
    )


@fault("letters by mail", State.DANGER, "1 letter could not be mailed", "Look at the mail server")
def a_letter_was_not_mailed(office: Office):
    clerk = make_clerk()
    letter = made(make_request(make_case(), clerk), clerk)
    held = LetterMail.objects.get(sending=mailed(letter, clerk))
    held.outcome, held.fault, held.tried_at = "failed", "Connection refused", timezone.now()
    held.save()


@fault("mail", State.DANGER, "No mail server is named", "Set ME_MAIL_URL")
def no_mail(office: Office):
    office.settings.EMAIL_HOST = ""


@fault("mail", State.DANGER, "refuses the user", "Mend ME_MAIL_URL")
def mail_is_refused(office: Office):
    office.patch.undo()
    office.settings.EMAIL_HOST, office.settings.EMBEDDED = "mail.invalid", False
    refused = smtplib.SMTPAuthenticationError(535, b"no")
    office.patch.setattr(mail.EmailBackend, "open", raising(refused))


@fault("mail", State.DANGER, "does not answer (Connection refused)", "Mend ME_MAIL_URL")
def mail_is_away(office: Office):
    office.patch.undo()
    office.settings.EMAIL_HOST, office.settings.EMBEDDED = "mail.invalid", False
    office.patch.setattr(
        mail.EmailBackend, "open", raising(ConnectionRefusedError(111, "Connection refused"))
    )


@fault("administrator", State.WRONG, "There is none", "first_administrator")
def nobody_is_administrator(office: Office):
    office.boss.groups.clear()


@fault("administrator", State.WRONG, "There is none", "first_administrator")
def the_only_administrator_left(office: Office):
    Staff.objects.filter(pk=office.boss.pk).update(is_active=False)


@fault("administrator", State.DANGER, "birch has not chosen", "Let birch sign in")
def the_administrator_has_no_second_factor(office: Office):
    Authenticator.objects.filter(user=office.boss).delete()


@pytest.mark.parametrize("planted", FAULTS, ids=[one[0] for one in FAULTS])
def test_a_planted_fault_is_found_by_name_and_says_what_to_do(office: Office, planted):
    _, name, plant, state, says, to_do = planted
    plant(office)
    found = [one for one in looked(name) if one.state is not State.RIGHT]
    assert [one.state for one in found if says in one.says and to_do in one.to_do] == [state], found
    assert {one.state for one in found} == {state}


def test_a_right_office_has_nothing_to_say(office: Office):
    found = {name: looked(name) for name in sorted({one[1] for one in FAULTS})}
    assert [
        (name, one) for name in found for one in found[name] if one.state is not State.RIGHT
    ] == []


def test_thirty_faults_are_planted_and_every_condition_of_the_first_day_has_one():
    assert len(FAULTS) >= 30
    own = {
        name
        for name, part in conditions._parts.items()
        if part.look.__module__.rpartition(".")[2]
        in {"role", "broker", "machine", "address", "mail", "people"}
    }
    assert own - {one[1] for one in FAULTS} == set()


def test_both_sides_of_each_limit(office: Office):
    office.seen(certificate_days=21)
    office.patch.setattr(role, "seconds_apart", lambda: 2.0)
    office.patch.setattr(role, "server_version", lambda: 160000)
    office.patch.setattr(machine, "room_at", lambda path: (10**10, 10_000))
    office.settings.STORE_LITTLE_ROOM_BYTES = 10**10
    for name in ("address", "clock", "database server", "disk room"):
        assert [one.state for one in looked(name)] == [State.RIGHT], name


def test_a_try_out_is_asked_for_no_proxy_and_no_mail(office: Office):
    office.settings.EMBEDDED, office.settings.EMAIL_HOST = True, ""
    office.settings.HTTPS = office.settings.REQUIRE_SECOND_FACTOR = False
    office.patch.setattr(route, "ask", raising(AssertionError("asked")))
    for name in ("address", "mail", "settings"):
        assert [one.state for one in looked(name)] == [State.RIGHT], name


def test_mail_given_up_on_purpose_is_no_fault(office: Office):
    office.settings.EMAIL_HOST, office.settings.MAIL_GIVEN_UP = "", True
    assert [one.state for one in looked("mail")] == [State.RIGHT]
