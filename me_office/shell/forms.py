"""The base of every form, and how an action's refusal comes back beside the field."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, TypeVar

from django import forms
from django.contrib import messages
from django.db.models import Model
from django.forms.models import ModelFormMetaclass
from django.forms.utils import ErrorList
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django_htmx.middleware import HtmxDetails

from me_office.audit.actions import parameters
from me_office.audit.errors import Away, Conflict, Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.moments import clock_words
from me_office.shell.moment_field import MomentField
from me_office.shell.typed_field import ClockField, DayField

T = TypeVar("T")

# What every form says to an action beside its entry, and by which name the form has it.
KEPT = {"record_id": "record_id", "version": "version", "reason": "given_reason"}


@dataclass(frozen=True)
class Difference:
    """One field of a stale form: what was typed and what is saved now."""

    name: str
    label: str
    typed: str
    current: str


class OfficeFormMixin(forms.BaseForm):
    """What every form of the office carries.

    `units` names the unit shown inside a field; `rows` the height of a text field; `buttons` are
    fields of choices that stand open, without an empty one; `needed` says of a field when it is.
    Hidden fields: `record_id` (made when the form is first shown, so that a retry is the same
    record), `version` (what the person read) and `request_key` (so that a retry gets the first
    answer).
    """

    units: dict[str, str] = {}
    rows: dict[str, int] = {}
    labels: dict[str, str] = {}
    buttons: tuple[str, ...] = ()
    needed: dict[str, str] = {}
    data: Any
    stale: list[Difference]
    is_stale = False
    # Under which key it was sent, where it goes on under another.
    former_key = ""
    # What the office rests on did not answer: the same form can be sent again.
    is_away = False
    # Sent twice as something new, with other words: saving again makes one more beside the first.
    makes_another = False

    def prepare(self, record: Model | None = None) -> None:
        """Add the hidden fields and the office's widgets; called by the form classes."""
        self.stale = []
        self.fields["record_id"] = forms.UUIDField(widget=forms.HiddenInput, required=False)
        self.fields["version"] = forms.IntegerField(widget=forms.HiddenInput, required=False)
        self.fields["request_key"] = forms.UUIDField(widget=forms.HiddenInput, required=False)
        self.fields["record_id"].initial = record.pk if record is not None else new_id()
        self.fields["version"].initial = getattr(record, "version", 0) if record else 0
        self.fields["request_key"].initial = new_id()
        for name, field in list(self.fields.items()):
            if isinstance(field, forms.DateTimeField):
                kept = self._initial_of(field, name) if record is not None else None
                field = self.fields[name] = MomentField.of(field, kept)
            elif isinstance(field, forms.DateField):
                field = self.fields[name] = DayField.in_place_of(field)
            elif isinstance(field, forms.TimeField):
                field = self.fields[name] = ClockField.in_place_of(field)
            if isinstance(field, forms.ChoiceField):
                _name_no_choice(field)
            if isinstance(field.widget, forms.Textarea):
                field.widget.attrs["rows"] = self.rows.get(name, 3)
                # For whoever dictates or types with a finger: the browser's own help.
                field.widget.attrs |= {
                    "lang": "en-US", "autocapitalize": "sentences", "spellcheck": "true"
                }  # fmt: skip
            if name in self.units:
                field.widget.attrs["data-unit"] = self.units[name]
            if name in self.labels:
                field.label = self.labels[name]
            if isinstance(field, forms.DecimalField | forms.IntegerField | forms.FloatField):
                field.widget.attrs.setdefault("inputmode", "decimal")
        for name in self.buttons:
            choose_from(self, name, [one for one in choices_of(self, name) if one[0] != ""])
        for name, words in self.needed.items():
            say_needed(self, words, name)

    def _initial_of(self, field: forms.Field, name: str) -> Any:
        # Not `get_initial_for_field`, which drops the parts of a second.
        return (self.initial or {}).get(name, field.initial)

    @property
    def entry(self) -> dict[str, Any]:
        """The cleaned values without the hidden bookkeeping: what an action takes."""
        cleaned: dict[str, Any] = self.cleaned_data
        hidden = {"record_id", "version", "request_key", "reason"}
        return {name: value for name, value in cleaned.items() if name not in hidden}

    @property
    def said(self) -> dict[str, Any]:
        """The entry as its action takes it, where names or units are not those of the fields."""
        return self.entry

    @property
    def beside(self) -> dict[str, Any]:
        """What its action takes beside the entry, by the names of the parameters."""
        return {}

    @property
    def record_id(self) -> uuid.UUID:
        """The key the client made for a new record."""
        return self.cleaned_data.get("record_id") or new_id()

    @property
    def version(self) -> int:
        """The version the person read; 0 for a record that did not exist."""
        return self.cleaned_data.get("version") or 0

    @property
    def given_reason(self) -> str:
        """Why, if the form asks for it."""
        return getattr(self, "cleaned_data", {}).get("reason", "") or ""

    def add_action_error(self, error: Exception) -> None:
        """Put an action's refusal beside its field, or on top of the form."""
        if isinstance(error, StaleRecord) or (isinstance(error, Conflict) and error.record):
            self.is_stale = True
            if error.record is not None:
                self._show_both_texts(error.record)
            self.add_error(None, error.message)
        elif isinstance(error, Invalid):
            for name, messages in error.errors.items():
                for message in messages:
                    self._add(name, message)
        elif isinstance(error, Refused | NotAllowed | Conflict | Away):
            self.is_away = self.is_away or isinstance(error, Away)
            self._add(error.field, error.message)
        else:
            raise error

    def _add(self, name: str | None, message: str) -> None:
        field = name if name in self.fields else None
        already: ErrorList | Sequence[str] = self.errors.get(field or "__all__", [])
        if message not in already:
            self.add_error(field, message)

    def _show_both_texts(self, record: Any) -> None:
        # The hidden version moves to what stands now: saving again is a choice made knowingly.
        data = self.data.copy()
        prefix_version = self.add_prefix("version")
        self.former_key = str(self.cleaned_data.get("request_key") or "")
        data[self.add_prefix("request_key")] = str(new_id())
        self.makes_another = (
            not self.version and record.pk == self.record_id and _may_be_several(record)
        )
        if self.makes_another:
            data[self.add_prefix("record_id")] = str(new_id())
        else:
            data[prefix_version] = str(record.version)
        self.data = data
        for name in self.entry:
            if not hasattr(record, name):
                continue
            typed, current = self.entry[name], getattr(record, name)
            if _as_words(typed) != _as_words(current):
                label = self.fields[name].label or name.replace("_", " ")
                self.stale.append(
                    Difference(name, str(label), _as_words(typed), _as_words(current))
                )


def long_text(label: str, help_text: str = "", **more: Any) -> forms.CharField:
    """Return a field of several lines."""
    return forms.CharField(label=label, help_text=help_text, widget=forms.Textarea, **more)


def ask_one_of(form: forms.BaseForm, *names: str) -> None:
    """Say beside each of these fields that one of them is needed; the form's clean() asks."""
    say_needed(
        form, "one of the two required" if len(names) == 2 else "one of these required", *names
    )


def say_needed(form: forms.BaseForm, words: str, *names: str) -> None:
    """Say beside each of these fields when it is needed, where that depends on another field."""
    for name in names:
        form.fields[name].needed = words  # type: ignore[attr-defined]


def _name_no_choice(field: forms.ChoiceField) -> None:
    """Say in words what a list shows before anything is chosen, in place of a row of dashes."""
    words = "Choose" if field.required else "Not stated"
    if isinstance(field, forms.ModelChoiceField):
        if field.empty_label is not None and not str(field.empty_label).strip("-"):
            field.empty_label = words
        return
    if callable(field.choices):
        return
    field.choices = [
        (value, words if value in {"", None} and not str(label).strip("-") else label)
        for value, label in field.choices
    ]


def _may_be_several(record: Any) -> bool:
    """Tell whether a case may have more than one record of this type."""
    return not any(field.one_to_one and field.name == "case" for field in record._meta.fields)


def _as_words(value: Any) -> str:
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if hasattr(value, "astimezone"):
        return clock_words(value, "%d %b %Y, %H:%M")
    if hasattr(value, "normalize"):
        return f"{value.normalize():f}"
    return str(value)


class OfficeForm(OfficeFormMixin, forms.Form):
    """A form that is not one record's."""

    def __init__(self, *args: Any, record: Model | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.prepare(record)


class _OfTable(ModelFormMetaclass):
    """Makes a form of a table: what Django reads from a class inside stands beside the labels."""

    def __new__(
        mcs,
        name: str,
        bases: tuple[type, ...],
        attrs: dict[str, Any],
        of: type[Model] | None = None,
    ) -> Any:
        said = {theirs: attrs[ours] for ours, theirs in _SAID_OF_FIELDS.items() if ours in attrs}
        if of is not None:
            entered = [one.name for one in of._meta.concrete_fields if one.editable]
            said = {"model": of, "fields": entered, **said}
        meta = next((base.Meta for base in bases if hasattr(base, "Meta")), object)
        if "buttons" in attrs:
            others = said.get("widgets", getattr(meta, "widgets", {}))
            said["widgets"] = {**dict.fromkeys(attrs["buttons"], forms.RadioSelect), **others}
        if said:
            attrs["Meta"] = type("Meta", (meta,), said)
        return super().__new__(mcs, name, bases, attrs)


_SAID_OF_FIELDS = {"asks": "fields", "help_texts": "help_texts", "widgets": "widgets"}


class RecordForm(OfficeFormMixin, forms.ModelForm, metaclass=_OfTable):  # type: ignore[type-arg]
    """A form for one record: `class HoldForm(RecordForm, of=BodyHold)`. Never `.save()`d.

    It asks for every column that a person enters, or for those that `asks` names. Labels, limits
    and choices come from the table; `labels`, `help_texts` and `widgets` say what is different.
    `wrong` is the rule that says of what was entered, and of today's date, what cannot be so;
    `begins_now` the moment that begins with now where the record is new.
    """

    asks: ClassVar[list[str]]
    help_texts: ClassVar[dict[str, str]]
    widgets: ClassVar[dict[str, Any]]
    begins_now = ""
    wrong: ClassVar[Callable[..., Mapping[str, Any]] | None] = None

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        stored = self.instance if not self.instance._state.adding else None
        self.prepare(stored)
        if stored is None and self.begins_now:
            self.initial.setdefault(self.begins_now, timezone.now())

    def clean(self) -> dict[str, Any] | None:
        """Put what cannot be so beside its field, before the database says it of the whole."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        found = self.wrong(cleaned, timezone.localdate()) if self.wrong else {}
        for name, words in found.items():
            if name not in self.errors:
                self.add_error(name, words)
        return cleaned


def attempt(form: OfficeFormMixin, call: Callable[[], T]) -> T | None:
    """Run an action for a valid form; on a refusal put it on the form and return None."""
    try:
        return call()
    except (StaleRecord, Invalid, Refused, NotAllowed, Conflict) as error:
        form.add_action_error(error)
        return None


def submitted(request: HttpRequest, form: Any, action: Callable[..., T], **known: Any) -> T | None:
    """Run an action for a form that was sent and is valid; return what it saved.

    The action gets the person, what is `known`, and of the form whatever it takes: `record_id`,
    `version`, `reason`, what is `beside`, and as `entry` what is `said`; one that takes no entry
    gets its values by their names. None where nothing was sent, and where something is wrong, which
    then stands on the form.
    """
    if request.method != "POST" or not form.is_valid():
        return None
    taken = parameters(action)
    kept = {name: getattr(form, own) for name, own in KEPT.items()}
    said = {"entry": form.said} if "entry" in taken else form.entry
    said = {**said, **form.beside, **kept}
    given = {name: value for name, value in said.items() if name in taken}
    return attempt(form, lambda: action(request.user, **given | known))


def answer_form(
    request: HttpRequest, template: str, context: dict[str, Any], form: OfficeFormMixin
) -> HttpResponse:
    """Render a page with its form: 200 fresh, 422 with errors, 409 stale with both texts.

    503 where something did not answer, so that the same form is sent again later.
    """
    status = 200
    if form.is_bound and form.errors:
        status = 409 if form.is_stale else 503 if form.is_away else 422
    return render(request, template, {**context, "form": form}, status=status)


def answer_done(request: HttpRequest, words: str, page: Any, **keys: Any) -> HttpResponse:
    """Say what was done, on the page that is shown next."""
    messages.success(request, words)
    answer: HttpResponse = redirect(page, **keys)
    return answer


def is_part(request: HttpRequest) -> bool:
    """Tell whether htmx asks for a part of the page rather than for the page."""
    htmx: HtmxDetails | None = getattr(request, "htmx", None)
    return htmx is not None and bool(htmx) and not htmx.boosted


def choose_from(form: forms.BaseForm, name: str, choices: list[tuple[str, Any]]) -> None:
    """Give a field of choices what may be chosen."""
    choice_field(form, name).choices = choices


def choice_field(form: forms.BaseForm, name: str) -> forms.ChoiceField:
    """Return a form's field of choices. Raises TypeError for a field of another kind."""
    field = form.fields[name]
    if not isinstance(field, forms.ChoiceField):
        raise TypeError(f"{name} is no field of choices")
    return field


def choices_of(form: forms.BaseForm, name: str) -> list[tuple[Any, Any]]:
    """Return what may be chosen in a form's field, each with its words."""
    choices = choice_field(form, name).choices
    if callable(choices):
        raise TypeError(f"The choices of {name} are not known before they are shown")
    return [(value, words) for value, words in choices]


def record_field(form: forms.BaseForm, name: str) -> forms.ModelChoiceField[Any]:
    """Return a form's field that chooses records. Raises TypeError for a field of another kind."""
    field = form.fields[name]
    if not isinstance(field, forms.ModelChoiceField):
        raise TypeError(f"{name} is no field that chooses records")
    return field
