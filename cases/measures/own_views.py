"""The page of one's own daily mail."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from cases.measures import actions, mail_queries
from cases.measures.forms import DailyMailForm
from me_office.accounts.requests import StaffRequest
from me_office.mailing import can_mail
from me_office.shell.forms import answer_done, answer_form, submitted


@require_http_methods(["GET", "POST"])
def daily_mail(request: StaffRequest) -> HttpResponse:
    """Choose whether what waits is mailed to oneself, or stop it."""
    choice = mail_queries.daily_mail_of(request.user)
    form = DailyMailForm(request.POST or None, instance=choice)
    saved = submitted(request, form, actions.choose_daily_mail)
    if saved:
        on = f"It goes to {saved.address}." if saved.wanted else "No daily mail is sent to you."
        return answer_done(request, on, "measures:daily-mail")
    context = {
        "choice": mail_queries.daily_mail_of(request.user),
        "last": mail_queries.last_sent_to(request.user),
        "hour": f"{settings.DAILY_MAIL_HOUR:02}:00",
        "can_mail": can_mail(),
        "domains": settings.DAILY_MAIL_DOMAINS,
    }
    return answer_form(request, "measures/daily_mail.html", context, form)
