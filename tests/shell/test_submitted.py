"""A form that is sent to its action: what the action takes of it, and when it is called at all."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import forms
from django.test import RequestFactory

from me_office.audit.errors import Refused
from me_office.shell.forms import OfficeForm, submitted

KEY = UUID(int=7)


class Form(OfficeForm):
    """A form with two fields of its own."""

    title = forms.CharField()
    reason = forms.CharField(required=False)


def _post(**typed: str) -> Any:
    request = RequestFactory().post("/", {"record_id": str(KEY), "version": "3", **typed})
    request.user = "Quill"  # type: ignore[assignment]
    return request


def _sent(action: Any, request: Any, **known: Any) -> tuple[Any, Form]:
    form = Form(request.POST or None)
    return submitted(request, form, action, **known), form


def test_an_action_gets_of_a_form_what_it_takes() -> None:
    def change(actor: Any, *, version: int, entry: Any, reason: str = "") -> Any:
        return actor, version, entry, reason

    saved, _ = _sent(change, _post(title="Ash", reason="Misread."))
    assert saved == ("Quill", 3, {"title": "Ash"}, "Misread.")


def test_an_action_without_an_entry_gets_the_values_by_their_names() -> None:
    def name(actor: Any, *, record_id: UUID, title: str) -> Any:
        return actor, record_id, title

    saved, _ = _sent(name, _post(title="Ash"))
    assert saved == ("Quill", KEY, "Ash")


class InOtherUnits(Form):
    """A form whose fields are not the action's."""

    @property
    def said(self) -> dict[str, Any]:
        return {"title_mm": self.entry["title"] + "0"}

    @property
    def beside(self) -> dict[str, Any]:
        return {"marks": ["a", "b"]}


def test_a_form_may_say_its_entry_in_other_words_and_something_beside_it() -> None:
    def record(actor: Any, *, entry: Any, marks: Any) -> Any:
        return entry, marks

    def change(actor: Any, *, entry: Any) -> Any:
        return entry

    request = _post(title="1")
    form = InOtherUnits(request.POST)
    assert submitted(request, form, record) == ({"title_mm": "10"}, ["a", "b"])
    assert submitted(request, form, change) == {"title_mm": "10"}


def test_what_the_page_knows_comes_before_what_the_form_says() -> None:
    def change(actor: Any, *, case_id: int, record_id: UUID, version: int) -> Any:
        return case_id, record_id, version

    other = UUID(int=8)
    saved, _ = _sent(change, _post(title="Ash"), case_id=1, record_id=other, version=0)
    assert saved == (1, other, 0)


def test_nothing_is_called_for_a_page_that_is_only_asked_for_or_a_form_that_is_wrong() -> None:
    def never(actor: Any) -> Any:
        raise AssertionError

    asked = RequestFactory().get("/")
    assert _sent(never, asked)[0] is None
    saved, form = _sent(never, _post(title=""))
    assert saved is None
    assert list(form.errors) == ["title"]


def test_a_refusal_stands_beside_its_field() -> None:
    def refuse(actor: Any, *, entry: Any) -> Any:
        raise Refused("There is one already.", field="title")

    saved, form = _sent(refuse, _post(title="Ash"))
    assert saved is None
    assert form.errors["title"] == ["There is one already."]
