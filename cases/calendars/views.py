"""Pages of leave and calendars, and the feeds that are read without signing in."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_http_methods, require_safe

from cases.access import Act, may_somewhere, require_role
from cases.calendars import actions, queries, rules
from cases.calendars.forms import FeedForm, LeaveForm, NamesForm
from cases.calendars.ical import MEDIA_TYPE, calendar_text
from cases.calendars.models import CalendarFeed
from findings.forms import VoidForm
from me_office.accounts.requests import StaffRequest
from me_office.audit import looks
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, attempt, submitted


@require_http_methods(["GET", "POST"])
def leave(request: StaffRequest) -> HttpResponse:
    """Show who is away; add leave."""
    require_role(request.user, Act.SEE, called="see leave")
    form = LeaveForm(request.POST or None, actor=request.user)
    made = submitted(request, form, actions.keep_leave)
    if made:
        return answer_done(request, f"Saved: {made}.", "calendars:leave")
    page = queries.leave_page(request.GET.get("after", ""))
    context = {
        "rows": page.rows,
        "next_url": f"?{urlencode({'after': page.next_key})}" if page.next_key else "",
        "first_url": "?" if request.GET.get("after") else "",
        "keeps_all": actions.keeps_all_leave(request.user),
    }
    return answer_form(request, "calendars/leave.html", context, form)


@require_http_methods(["GET", "POST"])
def withdraw_leave(request: StaffRequest, record_id: UUID) -> HttpResponse:
    """Withdraw leave, with the reason."""
    require_role(request.user, Act.SEE, called="keep leave")
    record = queries.leave_of(record_id)
    said = Confirmation(
        f"Withdraw leave of {record}",
        "It will clash with no date any more.",
        "Withdraw the leave",
        back=reverse("calendars:leave"),
        done=f"Withdrawn: {record}.",
        stop=False,
        form_class=VoidForm,
    )
    return confirming(request, record, actions.withdraw_leave, said, record_id=record.pk)


def _page(request: StaffRequest, **more: object) -> dict[str, object]:
    choice = queries.names_choice()
    return {
        "own": queries.feed_of(request.user),
        "office": queries.feed_of(None),
        "may_office": may_somewhere(request.user, Act.KEEP_COUNTING),
        "may_name": may_somewhere(request.user, Act.KEEP_REVIEW_RULES),
        "named": choice is not None and choice.named,
        "names_form": NamesForm(
            record=choice, auto_id="names_%s",
            initial={"named": choice is not None and choice.named},
        ),
        "own_form": FeedForm(auto_id="own_%s"),
        "office_form": FeedForm(auto_id="office_%s"),
        **more,
    }  # fmt: skip


@require_GET
def feeds(request: StaffRequest) -> HttpResponse:
    """Show one's own calendar's address, and the office's: whether there is one, and since when."""
    require_role(request.user, Act.SEE, called="open a calendar")
    return render(request, "calendars/feeds.html", _page(request))


@require_http_methods(["POST"])
def open_feed(request: StaffRequest, whose: str) -> HttpResponse:
    """Make a new address and show it once."""
    require_role(request.user, Act.SEE, called="open a calendar")
    form = FeedForm(request.POST, auto_id=f"{whose}_%s")
    secret = rules.new_secret()
    if form.is_valid():
        made = attempt(
            form,
            lambda: actions.open_calendar_feed(
                request.user,
                record_id=form.record_id,
                secret_sha256=rules.digest_of(secret),
                for_office=whose == "office",
            ),
        )
        if made is not None:
            address = request.build_absolute_uri(f"/calendars/feed/{secret}.ics")
            return render(
                request, "calendars/feeds.html", _page(request, address=address, new=made)
            )
    context = _page(request, **{f"{whose}_form": form})
    return render(request, "calendars/feeds.html", context, status=409 if form.is_stale else 422)


@require_http_methods(["GET", "POST"])
def close_feed(request: StaffRequest, whose: str) -> HttpResponse:
    """Close an address."""
    require_role(request.user, Act.SEE, called="open a calendar")
    feed = queries.feed_of(None if whose == "office" else request.user)
    if feed is None:
        return answer_done(request, "There is no address.", "calendars:feeds")
    said = Confirmation(
        f"Close the address: {feed}",
        "Calendars that read it get nothing any more. A new address can be made.",
        "Close the address",
        back=reverse("calendars:feeds"),
        done="The address is closed.",
        stop=False,
        form_class=VoidForm,
    )
    return confirming(request, feed, actions.close_calendar_feed, said, record_id=feed.pk)


@require_http_methods(["POST"])
def choose_names(request: StaffRequest) -> HttpResponse:
    """Say whether calendars name decedents."""
    require_role(request.user, Act.KEEP_REVIEW_RULES, called="choose what calendars say")
    form = NamesForm(request.POST, record=queries.names_choice(), auto_id="names_%s")
    if submitted(request, form, actions.choose_calendar_names):
        return answer_done(request, "Saved.", "calendars:feeds")
    return render(
        request, "calendars/feeds.html", _page(request, names_form=form),
        status=409 if form.is_stale else 422,
    )  # fmt: skip


READ_AT_ITS_ADDRESS = "calendar, by whoever had its address"


@require_safe
def feed(request: HttpRequest, secret: str) -> HttpResponse:
    """Answer with a calendar to whoever has its address; closed, withdrawn and unknown differ."""
    found: CalendarFeed | None = queries.feed_at(secret)
    if found is None:
        return _plain("There is no such calendar.", 404)
    if not queries.is_open(found):
        return _plain("This calendar is closed.", 410)
    today = timezone.localdate()
    events = queries.events_of(found, today)
    if request.method == "GET":
        reader = found.owner or found.created_by
        # Nobody signs in here: the person is whose address it is, not who read it.
        looks.note_list(
            reader, READ_AT_ITS_ADDRESS, rows=len(events), asked={"feed": str(found.pk)}
        )
    text = calendar_text(
        f"{settings.OFFICE_NAME}, {found.owner or 'office'}",
        events,
        zone=settings.OFFICE_ZONE,
        today=today,
        base=request.build_absolute_uri("/").rstrip("/"),
    )
    answer = HttpResponse(text, content_type=MEDIA_TYPE)
    answer["Content-Disposition"] = 'inline; filename="calendar.ics"'
    answer["X-Robots-Tag"] = "noindex"
    return answer


def _plain(words: str, status: int) -> HttpResponse:
    return HttpResponse(words, status=status, content_type="text/plain; charset=utf-8")
