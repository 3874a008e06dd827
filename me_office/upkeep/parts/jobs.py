"""Workers, beat, and whether jobs come through."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from django.conf import settings

from cases.review.signed_pdf import never_printed
from me_office.shell.templatetags.office import short_moment
from me_office.upkeep import beats
from me_office.upkeep.conditions import Said, condition, dangerous, right, wrong

# A packet of an hour is a usual thing; a picture that waits ten minutes is not.
LATE = {"quick": timedelta(minutes=10), "long": timedelta(hours=6)}
WAITS = {
    "quick": "Pictures, copies and redactions wait.",
    "long": "Packets and the check of the store wait.",
}
START = {
    queue: f"Start it: systemctl start office-worker-{queue}, or celery -A me_office worker "
    f"-Q {queue}"
    for queue in WAITS
}
BEAT = "Start it, and one only: systemctl start office-beat, or celery -A me_office beat"


def _alive(name: str, waits: str, to_do: str, silent: timedelta = beats.SILENT) -> Iterator[Said]:
    seen = beats.last(name)
    if seen is None:
        yield wrong(f"None has been seen. {waits}", to_do)
    elif seen[1] > silent:
        yield wrong(f"Silent since {short_moment(seen[0])}. {waits}", to_do)
    else:
        yield right("It lives.")


@condition("worker of quick jobs", asks_database=True)
def quick_worker() -> Iterator[Said]:
    """Does a worker take quick jobs?"""
    yield from _alive(beats.worker("quick"), WAITS["quick"], START["quick"])


@condition("worker of long jobs", asks_database=True)
def long_worker() -> Iterator[Said]:
    """Does a worker take long jobs?"""
    yield from _alive(beats.worker("long"), WAITS["long"], START["long"])


@condition("beat", asks_database=True)
def beat() -> Iterator[Said]:
    """Does beat send what comes back every minute?"""
    waits = "Whatever a worker lost waits, and the store is not checked."
    yield from _alive(beats.BEAT, waits, BEAT)


@condition("watch", asks_database=True)
def watch() -> Iterator[Said]:
    """Does the process live that mails what is wrong?"""
    if settings.EMBEDDED:
        yield right("A try-out mails nobody.")
    elif not settings.ADMINS:
        yield right("ME_ADMINISTRATORS names nobody: nobody is mailed.")
    else:
        waits = "Nobody is mailed about anything else that goes wrong."
        start = (
            "Start it, and one only: systemctl start office-watch, or manage.py watch. Until then "
            "look at State of the office."
        )
        yield from _alive(beats.WATCH, waits, start, beats.WATCH_SILENT)


@condition("queues", asks_database=True)
def queues() -> Iterator[Said]:
    """Do jobs come through?"""
    late = False
    for queue, most in LATE.items():
        seen = beats.last(beats.through(queue))
        if seen is not None and seen[1] > most:
            late = True
            yield dangerous(
                f"The last {queue} job came through at {short_moment(seen[0])}. {WAITS[queue]}",
                f"Look into its log (journalctl -u office-worker-{queue}): is it at one job all "
                "the time, or are there too few workers?",
            )
    if not late:
        yield right("Jobs come through.")


@condition("signed reports", asks_database=True)
def signed_reports() -> Iterator[Said]:
    """Could the PDF of every report that was signed lately be made?"""
    count = never_printed()
    if count:
        what = "1 signed report has" if count == 1 else f"{count:,} signed reports have"
        yield wrong(
            f"{what} no PDF: printing failed each time. Pages and lines can't be cited from it.",
            "The log says why (journalctl -u office-worker-quick). Once that is mended, open the "
            "signed report as PDF on the case's page, an hour after the last attempt, or build a "
            "packet.",
        )
    else:
        yield right("Each has its PDF, or will.")
