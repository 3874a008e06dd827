"""Forms of requests and releases."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.utils.html import format_html

from cases.counting import queries as counting
from cases.court.actions import REQUEST_FIELDS
from cases.court.counted import COUNTING_FIELDS
from cases.court.fee_rules import UNITS, money, wrong_in_fee
from cases.court.fees import INVOICE_FIELDS
from cases.court.models import (
    Authority,
    Closing,
    Counsel,
    Demand,
    FeeRule,
    Invoice,
    RecordsRequest,
    Release,
)
from cases.court.queries import case_called
from cases.court.rules import (
    NAMES_ITS_COURT,
    why_not_left,
    wrong_in_authority,
    wrong_in_demand,
    wrong_in_request,
)
from cases.forms.changed import WHY_CHANGED, ChangedForm
from cases.models import Case, Person
from findings.calculations.counting import Period, Unit
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES
from me_office.shell.forms import OfficeForm, RecordForm, choose_from, long_text, record_field
from me_office.worded import as_choices

# How many demands are asked for when a request is logged; more are added on its page.
DEMAND_ROWS = 8
DEMAND_ROW = ("title", "kind", "page", "words")


class RequestForm(ChangedForm, of=RecordsRequest):
    """A subpoena, court order, records request, discovery request or preservation letter."""

    wrong = staticmethod(wrong_in_request)
    rows = {"asks_for": 3, "reason": 3}
    buttons: tuple[str, ...] = ("kind",)
    labels = {
        "kind": "Type of request",
        "wants": "It asks for",
        "party": "Requesting party",
        "contact": "Send the answer to",
        "served_on": "Served or received on",
        "served_how": "How it was served",
        "served_on_whom": "Who took it",
        "asks_for": "What is requested",
    }
    widgets = {"kind": forms.RadioSelect, "wants": forms.RadioSelect}
    help_texts = {
        "court": "As it appears on the paper; a grand jury or an agency also issues subpoenas.",
        "cause_number": "Exactly as written, or “none”; answers and releases cite it.",
        "party": "Person, firm or office.",
        "contact": "Name, address, telephone, or where files are submitted.",
        "asked_under": "As the letter says. Which right it gives is governed by local law.",
        "served_on": "",
        "served_on_whom": "Name of the person in this office.",
        "due_on": "The day by which the records must arrive.",
        "asks_for": "In the words of the request, if they are short enough.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance._state.adding:
            self.fields["kind"].initial = "subpoena"
        # Asked of what comes from a court alone; whatever is not asked, asks for documents.
        self.fields["wants"].required = False

    def clean(self) -> dict[str, Any]:
        """Keep of the parts that belong to some kinds only what belongs to this one."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("kind") not in NAMES_ITS_COURT or not cleaned.get("wants"):
            cleaned["wants"] = "documents"
        if cleaned.get("kind") != "records request":
            cleaned["asked_under"] = ""
        return cleaned


class LogForm(RequestForm):
    """A request as it comes: its due day, its demands, thing by thing, and further cases."""

    buttons = ("kind", "due_how")
    needed = {"due_on": "required", "rule_key": "required", "amount": "required"}
    due_how = forms.ChoiceField(
        label="Due day",
        choices=[("paper", "as the paper names it"), ("counted", "counted by a rule")],
        initial="paper",
        required=False,
        widget=forms.RadioSelect,
    )
    rule_key = forms.ChoiceField(label="Rule", required=False)
    amount = forms.IntegerField(
        label="Period", required=False, min_value=1, max_value=3650, help_text="From the day above."
    )
    unit = forms.ChoiceField(
        label="In",
        choices=as_choices((Unit.DAYS, Unit.COURT_DAYS)),
        initial=Unit.DAYS.value,
        required=False,
    )
    way = forms.ChoiceField(label="Added for service", required=False)

    further_cases = forms.CharField(
        label="Further cases",
        required=False,
        max_length=240,
        help_text="Numbers of other cases that the same paper asks for, separated by commas.",
    )

    def __init__(self, *args: Any, actor: Staff, case_id: UUID, **kwargs: Any) -> None:
        self.actor, self.case_id = actor, case_id
        super().__init__(*args, **kwargs)
        self.fields["due_on"].required = False
        known = counting.rules()
        choose_from(self, "rule_key", [("", ""), *((one.key, one.ruleset.name) for one in known)])
        ways = dict.fromkeys(one.way for rule in known for one in rule.ruleset.services)
        choose_from(self, "way", [("", "nothing"), *((way, way) for way in ways)])
        for number in range(1, DEMAND_ROWS + 1):
            for name, field in _demand_fields(number).items():
                self.fields[f"demand_{number}_{name}"] = field

    @property
    def demand_rows(self) -> list[tuple[int, list[forms.BoundField], bool]]:
        """The rows of demands with their bound fields, and whether one is to be open."""
        rows = [
            (number, [self[f"demand_{number}_{name}"] for name in DEMAND_ROW])
            for number in range(1, DEMAND_ROWS + 1)
        ]
        told = [
            number
            for number, fields in rows
            if any(one.errors or (one.value() and not one.name.endswith("kind")) for one in fields)
        ]
        last = max(told, default=1)
        return [(number, fields, number <= last) for number, fields in rows]

    def clean(self) -> dict[str, Any]:
        """Say beside its field what the due day or a demand lacks, and which number is no case."""
        self._find_due_day()
        cleaned = super().clean()
        for number in range(1, DEMAND_ROWS + 1):
            row = self._row(number)
            if row and not row["title"]:
                self.add_error(f"demand_{number}_title", "Say in short what is demanded.")
        self.further: list[UUID] = []
        numbers = [one.strip() for one in cleaned.get("further_cases", "").split(",")]
        for number in dict.fromkeys(one for one in numbers if one):
            case = case_called(self.actor, number)
            if case is None:
                self.add_error("further_cases", f"There is no case {number} that you can open.")
            elif case.pk == self.case_id:
                self.add_error("further_cases", f"{number} is this case.")
            else:
                self.further.append(case.pk)
        return cleaned

    def _find_due_day(self) -> None:
        """Take the day that the paper names, or count it from the day of service."""
        said = self.cleaned_data
        if said.get("due_how") != "counted":
            if "due_on" in said and not said["due_on"]:
                self.add_error("due_on", "Enter the day, or have it counted by a rule.")
            return
        lacks = {"rule_key": "Choose the rule.", "amount": "Enter the period."}
        for name, words in lacks.items():
            if name in said and not said[name]:
                self.add_error(name, words)
        if not all(said.get(name) for name in ("rule_key", "amount", "served_on")):
            return
        unit = Unit(said.get("unit") or Unit.DAYS)
        said["unit"] = unit.value
        found = counting.counted(
            counting.Asked(
                said["rule_key"],
                said["served_on"],
                Period(said["amount"], unit),
                said.get("way", ""),
                said.get("court", ""),
            )
        )
        said["due_on"] = found.count.end
        if found.count.end is None:
            field = {"trigger": "served_on", "calendar": "rule_key"}.get(
                found.count.field, found.count.field
            )
            self.add_error(field if field in self.fields else None, found.count.refused)

    def _row(self, number: int) -> dict[str, Any]:
        """Return what was entered in a row; nothing where only its kind was touched."""
        row = {name: self.cleaned_data.get(f"demand_{number}_{name}") for name in DEMAND_ROW}
        return row if any(row[name] for name in ("title", "words", "page")) else {}

    @property
    def said(self) -> dict[str, Any]:
        """What the request itself says; its demands and further cases stand beside it."""
        return {name: value for name, value in self.entry.items() if name in REQUEST_FIELDS}

    @property
    def beside(self) -> dict[str, Any]:
        """The demands in their order, the further cases, and by what the due day was counted."""
        rows = [self._row(number) for number in range(1, DEMAND_ROWS + 1)]
        said = self.cleaned_data
        by_rule = said.get("due_how") == "counted"
        return {
            "demands": [row for row in rows if row],
            "further": self.further,
            "counting": {name: said[name] for name in COUNTING_FIELDS} if by_rule else None,
        }


def _demand_fields(number: int) -> dict[str, forms.Field]:
    fields = forms.fields_for_model(Demand, DEMAND_ROW)
    labels = {
        "title": "Demand, in short",
        "kind": "Kind",
        "page": "Page",
        "words": "In the words of the paper",
    }
    for name, field in fields.items():
        field.help_text = ""
        # One label says what to enter; which demand it is stands above the row.
        field.label = format_html(
            '{}<span class="hidden-words"> (demand {})</span>', labels[name], number
        )
        if isinstance(field.widget, forms.Textarea):
            field.widget.attrs["rows"] = 2
        field.required = False
    kind = fields["kind"]
    kind.initial = "documents"
    return fields


class CounselForm(ChangedForm, of=Counsel):
    """A lawyer or firm in the matter."""

    rows = {"address": 3, "reason": 2}
    buttons = ("side",)
    labels = {"side": "Their part"}
    help_texts = {"appears_for": "The party in the matter: the State, the estate of E. Pell."}


class FurtherCaseForm(OfficeForm):
    """Names a further case that a request asks for."""

    case_number = forms.CharField(label="Case number", max_length=30)

    def __init__(self, *args: Any, actor: Staff, **kwargs: Any) -> None:
        self.actor = actor
        super().__init__(*args, **kwargs)

    def clean_case_number(self) -> str:
        """Find the case among those that the person may know of."""
        number: str = self.cleaned_data["case_number"]
        self.found = case_called(self.actor, number)
        if self.found is None:
            raise forms.ValidationError("There is no case with this number that you can open.")
        return number

    @property
    def beside(self) -> dict[str, Any]:
        """The case that was found."""
        return {"further_case": self.found.pk if self.found else None}


class DemandForm(ChangedForm, of=Demand):
    """One thing that a request asks for."""

    wrong = staticmethod(wrong_in_demand)
    rows = {"words": 4, "reason": 2}
    buttons = ("kind",)
    labels = {"kind": "What is demanded"}
    help_texts = {
        "title": "As lists and letters call it: All photographs; Histology slides.",
        "words": "Word for word, if they are short enough.",
        "page": "Where it stands in the paper that was served.",
    }


class OriginalForm(OfficeForm):
    """Takes in the paper of a request."""

    upload = forms.FileField(
        label="The paper as a file",
        widget=forms.FileInput(attrs={"accept": ".pdf,.jpg,.jpeg,.png"}),
        help_text="As it came or as it was scanned: PDF, JPEG or PNG, at most 50 MB.",
    )
    reason = long_text("Reason for replacing it", WHY_CHANGED)
    rows = {"reason": 2}

    def __init__(self, *args: Any, replaces: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not replaces:
            del self.fields["reason"]


class AuthorityForm(ChangedForm, of=Authority):
    """By what right somebody asks, and how that was checked."""

    wrong = staticmethod(wrong_in_authority)
    rows = {"how": 3, "reason": 2}
    buttons = ("outcome",)
    labels = {
        "who": "Requester",
        "person": "Person of this case",
        "name": "Name, where the case does not have the person",
    }
    needed = dict.fromkeys(("how", "checked_on", "checked_by"), "required once checked")
    help_texts = {
        "how": "What was seen or asked: a letter of appointment, an identity card, the "
        "clerk of the court.",
        "person": "",
    }

    def __init__(self, *args: Any, case: Case, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = Person.objects.active().filter(case=case)
        record_field(self, "person").queryset = people.order_by("name", "pk")
        staff = Staff.objects.filter(is_active=True, groups__name__in=[*CASE_ROLES]).distinct()
        record_field(self, "checked_by").queryset = staff.order_by("display_name", "pk")


class NeedForm(OfficeForm):
    """Whether requests of one kind have to show a right."""

    is_needed = forms.ChoiceField(
        label="Proof of a right",
        choices=[("yes", "asked for before an answer"), ("no", "not asked for")],
        widget=forms.RadioSelect,
    )
    because = forms.CharField(label="Rule or order", max_length=240, required=False)
    reason = long_text("Reason for the change", WHY_CHANGED)
    rows = {"reason": 2}

    @property
    def said(self) -> dict[str, Any]:
        """The entry as the table keeps it."""
        needed = self.cleaned_data["is_needed"] == "yes"
        return {"needed": needed, "because": self.cleaned_data["because"]}


class FeeForm(ChangedForm, of=FeeRule):
    """What the office charges for one thing."""

    wrong = staticmethod(wrong_in_fee)
    rows = {"reason": 2}
    buttons = ("unit",)
    help_texts = {
        "name": "As the invoice prints it: Copy on paper; Certified copy of the report.",
        "because": "The schedule or order that sets it.",
    }


class InvoiceForm(RecordForm, of=Invoice):
    """An invoice: to whom, and how many of each thing."""

    rows = {"address": 3}

    def __init__(self, *args: Any, fees: Sequence[FeeRule], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fees = fees
        for fee in fees:
            single = UNITS[fee.unit][0]
            self.fields[f"quantity_{fee.pk}"] = forms.DecimalField(
                label=fee.name,
                help_text=f"{money(fee.amount, fee.currency)} {single}",
                required=False,
                max_digits=9,
                decimal_places=2,
            )

    @property
    def quantity_fields(self) -> list[forms.BoundField]:
        """A field for each fee of the list."""
        return [self[f"quantity_{fee.pk}"] for fee in self.fees]

    @property
    def said(self) -> dict[str, Any]:
        """What the invoice says beside its lines."""
        return {name: self.cleaned_data[name] for name in INVOICE_FIELDS}

    @property
    def beside(self) -> dict[str, Any]:
        """How many of each fee that was entered."""
        counted = {str(fee.pk): self.cleaned_data.get(f"quantity_{fee.pk}") for fee in self.fees}
        return {"quantities": {key: one for key, one in counted.items() if one is not None}}


class PaymentForm(OfficeForm):
    """When and by what an invoice was paid."""

    rows = {"reason": 2}
    paid_on = forms.DateField(label="Paid on")
    paid_how = forms.ChoiceField(
        label="Paid by", choices=Invoice.PAID[1:], widget=forms.RadioSelect
    )
    paid_note = forms.CharField(
        label="Note",
        max_length=160,
        required=False,
        help_text="Number of the check, receipt, who took it.",
    )
    reason = long_text("Reason for the change", "Kept permanently, in your name.")

    def __init__(self, *args: Any, record: Invoice, **kwargs: Any) -> None:
        super().__init__(*args, record=record, **kwargs)
        if record.paid_on is None:
            del self.fields["reason"]


class WithdrawForm(OfficeForm):
    """Closes a request without an answer."""

    rows = {"reason": 2}
    reason = long_text(
        "Reason", "Withdrawn by the party, quashed, logged twice. Kept permanently, in your name."
    )


class ClosingForm(RecordForm, of=Closing):
    """Records that a request is answered and no packet goes out for it."""

    rows = {"words": 3}
    buttons = ("how",)
    help_texts = {
        "words": "Who testified and when, which letter, or why nothing goes out.",
    }


class ReleaseForm(RecordForm, of=Release):
    """Records that a packet was handed over."""

    rows = {"note": 2, "still_due": 2}
    buttons = ("method", "answers")
    needed = {"still_due": "required for a part"}
    labels = {
        "method": "How",
        "released_at": "When",
        "released_by": "By",
        "answers": "This packet holds",
    }
    asks = ["released_to", "method", "released_at", "released_by", "answers", "still_due",
              "note"]  # fmt: skip
    help_texts = {
        "released_to": "The person who took it or to whom it was sent.",
        "still_due": "Item by item, as requested. The request stays open for it.",
        "note": "Tracking number, who checked the digest, what was said.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Nothing is chosen: a clerk decides, item by item, whether everything is there.
        self.fields["answers"].initial = None
        self.initial.setdefault("answers", None)
        self.fields["still_due"].required = False
        staff = Staff.objects.filter(is_active=True, groups__name__in=[*CASE_ROLES]).distinct()
        record_field(self, "released_by").queryset = staff.order_by("display_name", "pk")

    def clean(self) -> dict[str, Any]:
        """Ask for what is left beside its field, before the table says it of the whole."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("answers"):
            wrong = why_not_left(cleaned["answers"], cleaned.get("still_due", ""))
            if wrong:
                self.add_error("still_due", wrong)
        return cleaned
