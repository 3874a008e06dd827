"""One answer per request key: who is asked first, what is compared, what is told again.

A client sends a key with each request, so that a retry does nothing twice. The frame of every
action (`me_office.audit.actions.action`) begins here, and the action's own question for permission
ends here (`recall`): nobody gets an answer, or learns that there is one, who may not have it.
"""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Callable, Iterable, Mapping
from contextvars import ContextVar
from datetime import UTC, date, datetime, time
from decimal import Decimal
from enum import Enum
from functools import cache
from typing import Any, TypeVar
from uuid import UUID

from django.apps import apps
from django.db import connection, models
from django.utils import timezone
from django.utils.crypto import salted_hmac

from me_office.accounts.models import Staff
from me_office.audit.context import RequestFacts, current_request
from me_office.audit.errors import Conflict
from me_office.audit.models import Record, RequestAnswer
from me_office.prepared import PreparedRows

# Made by the office for each request anew; and no digest of a password is kept anywhere.
NEVER_COMPARED = frozenset({"password"})
OTHER_WORDS = (
    "This was sent before with different content, and that was "
    "saved. Nothing you typed is lost: compare, then save again if this should be saved as well."
)
OTHER_ACT = "This request key was used for something else. Reload the page, then send it."
OTHER_PERSON = "This request key was used by someone else."


class AnsweredBefore(BaseException):
    """Ends an action that was done before; no error, so nothing on its way may catch it."""

    def __init__(self, record: Record | None) -> None:
        super().__init__()
        self.record = record


@dataclasses.dataclass
class Sent:
    """One action under a request key: what was sent now, and what the key was used for before."""

    actor: Staff
    answer: RequestAnswer
    compares: bool
    digest: str
    earlier: RequestAnswer | None
    used_otherwise: bool


FunctionT = TypeVar("FunctionT", bound=Callable[..., Any])
_DONE_EACH_TIME: set[str] = set()
under_way: ContextVar[Sent | None] = ContextVar("under_way", default=None)


def never_recalled(function: FunctionT) -> FunctionT:
    """Mark an act that is done each time it is asked for: what it sets is not compared."""
    _DONE_EACH_TIME.add(function.__name__)
    return function


def begin(
    actor: Staff, act: str, ordinal: int, facts: RequestFacts, sent: Mapping[str, Any]
) -> Sent | None:
    """Take the key for this action, or find what it was used for; None without a key."""
    key = facts.request_key
    if key is None or act in _DONE_EACH_TIME:
        return None
    digest = digest_of(sent)
    # The insert waits for a twin request that is still running, then sees its row.
    with connection.cursor() as cursor:
        cursor.execute(_TAKE, [key, act, ordinal, actor.pk, digest, timezone.now()])
    rows = _taken().objects(RequestAnswer, key)
    mine = next(row for row in rows if (row.act, row.ordinal) == (act, ordinal))
    earlier = mine if mine.record_type else None
    first = facts.uses.total() == 1
    others = any(row.record_type for row in rows if row.pk != mine.pk)
    used_otherwise = first and not earlier and others
    return Sent(actor, mine, facts.compares, digest, earlier, used_otherwise)


# Written once, as what is asked then: every act that is sent with a key begins so.
_TAKE = """
    INSERT INTO audit_requestanswer
        (key, act, ordinal, actor_id, digest, at, record_type, record_id)
    VALUES (%s, %s, %s, %s, %s, %s, '', '')
    ON CONFLICT DO NOTHING
"""


@cache
def _taken() -> PreparedRows:
    return PreparedRows(lambda key: RequestAnswer.objects.filter(key=key))


def recall(*, case_id: UUID | None = None) -> None:
    """Answer what was answered before; called once it is clear that the person may have it.

    `case_id` is the case that the person was found to reach: no other case's text is told.
    Outside of an action under a key, and for one that is new, nothing happens. Raises Conflict
    when the key was used by somebody else, for another act, or with other content.
    """
    sent = under_way.get()
    if sent is None:
        return
    if sent.used_otherwise:
        raise Conflict(OTHER_ACT)
    if sent.earlier is None:
        return
    if sent.earlier.actor_id != sent.actor.pk:
        raise Conflict(OTHER_PERSON)
    record = _record_of(sent.earlier)
    if sent.compares and sent.earlier.digest != sent.digest:
        raise Conflict(OTHER_WORDS, record=record if _within(record, case_id) else None)
    raise AnsweredBefore(record)


def saved_at(actor: Staff) -> datetime | None:
    """Return when the same person's form, which this request sends again, was saved.

    For a page that no longer has what the form was about: nothing else of the answer is told.
    """
    facts = current_request.get()
    if facts is None or facts.request_key is None:
        return None
    answers = RequestAnswer.objects.filter(key=facts.request_key, actor_id=actor.pk)
    at: datetime | None = answers.exclude(record_type="").values_list("at", flat=True).first()
    return at


def note(sent: Sent | None, record: Record | None) -> None:
    """Keep what an action was answered with."""
    if sent is None:
        return
    if sent.earlier is not None or sent.used_otherwise:
        act = sent.answer.act
        raise RuntimeError(f"{act} was done twice: it never asked whether it may be recalled")
    RequestAnswer.objects.filter(pk=sent.answer.pk).update(
        record_type=record._meta.label if record is not None else "none",
        record_id=str(record.pk) if record is not None else "",
    )


def _record_of(answer: RequestAnswer) -> Record | None:
    if answer.record_type == "none":
        return None
    model = _model_of(answer.record_type)
    return model._default_manager.get(pk=answer.record_id)  # type: ignore[return-value]


def _model_of(label: str) -> type[models.Model]:
    """Return a model by its label, or by the one that it had in another app (`formerly`)."""
    try:
        model: type[models.Model] = apps.get_model(label)
    except LookupError:
        known = {getattr(each, "formerly", ""): each for each in apps.get_models()}
        model = known[label]
    return model


def _within(record: Record | None, case_id: UUID | None) -> bool:
    """Tell whether a record belongs to the case that the person reaches, or to no case at all."""
    if record is None:
        return False
    of_case = record.pk if record._meta.db_table == "cases_case" else None
    of_case = getattr(record, "case_id", of_case)
    return of_case is None or of_case == case_id


def digest_of(sent: Mapping[str, Any]) -> str:
    """Return a digest of an action's keywords, 64 hexadecimal digits; files by their content.

    It is made with the office's secret, so that what was sent cannot be guessed from it.
    """
    said = {name: value for name, value in sent.items() if name not in NEVER_COMPARED}
    text = json.dumps(_plain(said), sort_keys=True, ensure_ascii=True)
    return salted_hmac("me_office.audit.keys", text, algorithm="sha256").hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, Enum):
        return _plain(value.value)
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, Decimal):
        return ["number", f"{value.normalize():f}"]
    if isinstance(value, datetime):
        return ["moment", (value.astimezone(UTC) if value.tzinfo else value).isoformat()]
    if isinstance(value, UUID | date | time):
        return str(value)
    if isinstance(value, models.Model):
        return [value._meta.label, str(value.pk)]
    if isinstance(value, Mapping):
        return {str(name): _plain(one) for name, one in value.items()}
    return _plain_whole(value)


def _plain_whole(value: Any) -> Any:
    sha256 = getattr(value, "sha256", None)
    if isinstance(sha256, str) and hasattr(value, "opened"):  # a file in the temporary place
        return ["file", sha256]
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        names = [field.name for field in dataclasses.fields(value)]
        return {name: _plain(getattr(value, name)) for name in names}
    if isinstance(value, set | frozenset):
        return sorted((_plain(one) for one in value), key=repr)
    if isinstance(value, list | tuple | models.QuerySet):
        return [_plain(one) for one in value]
    kind = "a generator" if isinstance(value, Iterable) else type(value).__name__
    raise TypeError(f"{kind} cannot be compared with what was sent before")
