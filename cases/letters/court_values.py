"""What the request itself, its counsel and the office say for the fields of a letter."""

from __future__ import annotations

from django.conf import settings
from django.utils import timezone

from cases.court.models import Counsel, Demand, Invoice, RecordsRequest
from cases.letters.values import Values, register
from me_office.accounts.models import Staff
from me_office.shell.templatetags.office import day


@register
def of_the_request(actor: Staff, asked: RecordsRequest) -> Values:
    """Return what is entered of the request, its counsel and what is owed; three statements."""
    demands = list(Demand.objects.active().filter(request=asked).order_by("number"))
    counsel = (
        Counsel.objects.active()
        .filter(request=asked, side="asking")
        .order_by("created_at", "id")
        .first()
    )
    invoice = _invoice(asked)
    to = counsel.name if counsel is not None and counsel.address else asked.party
    cited = [asked.get_kind_display(), asked.court]
    if asked.cause_number:
        cited.append(f"no. {asked.cause_number}")
    return {
        "letter.to": to,
        "request.cited": ", ".join(one for one in cited if one),
        "today": day(timezone.localdate()),
        "case.number": asked.case.label,
        "decedent.name": asked.case.decedent.full_name,
        "request.kind": asked.get_kind_display(),
        "request.court": asked.court,
        "request.number": asked.cause_number,
        "request.party": asked.party,
        "request.contact": asked.contact,
        "request.served": day(asked.served_on),
        "request.asks": asked.asks_for,
        # While the clock stands still, no day is due.
        "due.day": "" if asked.stopped_since else day(asked.due_on),
        "demand list": "\n".join(f"{one.number}. {one.title}" for one in demands) or asked.asks_for,
        "demand count": str(len(demands)) if demands else "",
        "counsel.name": counsel.name if counsel else "",
        "counsel.firm": counsel.firm if counsel else "",
        "counsel.address": counsel.address if counsel else "",
        "counsel.party": counsel.appears_for if counsel else "",
        "fee.total": _fee(invoice),
        "fee.number": invoice.number if invoice else "",
        "office.name": settings.OFFICE_NAME,
        "office.address": settings.OFFICE_ADDRESS,
        "office.phone": settings.OFFICE_PHONE,
        "clerk.name": actor.printed_name,
    }


def _invoice(asked: RecordsRequest) -> Invoice | None:
    """Return the latest invoice that is owed, or else the latest where it was waived."""
    bills = list(Invoice.objects.active().filter(request=asked).order_by("created_at", "id"))
    owed = [one for one in bills if one.paid_on is None and not one.waived_because]
    if owed:
        return owed[-1]
    # What was paid is asked for no more.
    return bills[-1] if bills and bills[-1].paid_on is None else None


def _fee(invoice: Invoice | None) -> str:
    if invoice is None:
        return ""
    return "waived" if invoice.waived_because else invoice.money


def address_of(asked: RecordsRequest) -> tuple[str, str]:
    """Return to whom a letter of the request is addressed, name and lines; one statement."""
    counsel = (
        Counsel.objects.active()
        .filter(request=asked, side="asking")
        .order_by("created_at", "id")
        .first()
    )
    if counsel is not None and counsel.address:
        lines = [counsel.firm, *counsel.address.splitlines()]
        return counsel.name, "\n".join(one.strip() for one in lines if one.strip())
    return asked.party, "\n".join(one.strip() for one in asked.contact.splitlines() if one.strip())
