"""What a search within a case finds, in a fixed number of statements.

What a case holds is read as it is shown, and PostgreSQL's full-text search compares the words: a
case is some thousand short texts, which are read faster than an index of the whole office. Only its
history, which may be long, is looked through in place.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import reduce
from operator import and_
from typing import Any

from django.db import connection
from django.db.models import Q, TextField
from django.db.models.functions import Cast
from django.urls import reverse

from cases.case_search.rules import FILLERS, Asked, around, pieces
from cases.case_search.sources import SOURCES, Findable, InCase
from cases.models import Case
from me_office.audit.queries import told_of
from me_office.audit.words import act_words

SEARCH = "search within a case"
MOST = 12
# Acts of the history that are looked at for those that are shown.
MOST_EVENTS = 60
# Signs that no text of a case has: of the part of Unicode that is given to nobody.
BEGIN, END = "\ue000", "\ue001"
OPTIONS = (
    f"StartSel={BEGIN}, StopSel={END}, MaxFragments=2, MaxWords=24, MinWords=10, "
    'FragmentDelimiter=" … "'
)
# A word that has an ending is looked for in all its forms ("drying" is in "dried"), one that has
# none matches the beginnings of longer ones: a stem would match those of other words ("driver").
# Words hold letters and digits alone, so nothing of them is read as an operator.
ASKED = """
(SELECT to_tsquery('english', coalesce(string_agg(
          word || CASE WHEN length(word) > 2 AND ts_lexize('english_stem', word) = ARRAY[word]
                       THEN ':*' ELSE '' END, %(between)s), ''))
   FROM unnest({words}::text[]) AS word)
"""
COMPARE = f"""
  WITH asked (words, other) AS MATERIALIZED
         (SELECT {ASKED.format(words="%(words)s")}, {ASKED.format(words="%(other)s")})
SELECT vector @@ words, vector @@ other
  FROM unnest(%(texts)s::text[]) WITH ORDINALITY AS said (text, ord),
       to_tsvector('english', text) AS vector, asked
 ORDER BY ord
"""  # noqa: S608 (put together of fixed words alone)
AROUND = f"""
  WITH asked (words) AS MATERIALIZED (SELECT {ASKED.format(words="%(words)s")})
SELECT ts_headline('english', text, words, %(options)s)
  FROM unnest(%(texts)s::text[]) WITH ORDINALITY AS said (text, ord), asked ORDER BY ord
"""  # noqa: S608


@dataclass(frozen=True)
class Hit:
    """One thing that was found, with the words around what was looked for."""

    title: str
    url: str
    pieces: Sequence[tuple[str, bool]] = ()
    at: datetime | None = None
    who: str = ""


@dataclass(frozen=True)
class Group:
    """What was found of one kind; `count` says how much, of which the first MOST are shown."""

    key: str
    title: str
    hits: Sequence[Hit]
    count: int
    counted_all: bool = True

    @property
    def more(self) -> bool:
        """Tell whether not all of it is shown."""
        return self.count > len(self.hits) or not self.counted_all


@dataclass(frozen=True)
class FoundInCase:
    """What a search found, by kind."""

    asked: Asked
    groups: Sequence[Group] = field(default_factory=tuple)

    @property
    def shown(self) -> int:
        """How many hits are shown."""
        return sum(len(group.hits) for group in self.groups)


def found_in_case(case: Case, asked: Asked) -> FoundInCase:
    """Return what of a case fits what was typed."""
    if asked.is_empty:
        return FoundInCase(asked)
    within = InCase(case)
    read = [(key, title, list(source(within))) for key, title, source in SOURCES]
    everything = [one for _, _, ones in read for one in ones]
    fitting = iter(_fitting(asked, everything))
    found = [(key, title, [one for one in ones if next(fitting)]) for key, title, ones in read]
    shown = [one for _, _, ones in found for one in ones[:MOST]]
    said = iter(_around(asked, [one.text for one in shown]))
    groups = [
        Group(
            key,
            title,
            [Hit(one.title, one.url, next(said)) for one in ones[:MOST]],
            len(ones),
        )
        for key, title, ones in found
    ]
    history = _history(case, asked)
    return FoundInCase(asked, [group for group in (*groups, history) if group.hits])


def _fitting(asked: Asked, everything: Sequence[Findable]) -> list[bool]:
    """Tell of each thing whether it fits: by number, by its words, by where on the body it lies."""
    if asked.words:
        texts = [f"{one.title} {one.text}" for one in everything]
        compared = _compare(texts, asked)
    else:
        compared = [(True, True)] * len(everything)
    return [
        (not asked.named or bool(asked.named & one.named))
        and (by_words or _lies_there(asked, one, by_others=by_others))
        for one, (by_words, by_others) in zip(everything, compared, strict=True)
    ]


def _lies_there(asked: Asked, one: Findable, *, by_others: bool) -> bool:
    return bool(asked.regions & one.regions) and (by_others or not asked.other_words)


def _compare(texts: list[str], asked: Asked) -> list[tuple[bool, bool]]:
    with connection.cursor() as cursor:
        cursor.execute(
            COMPARE,
            {
                "texts": texts,
                "words": list(asked.words),
                "other": list(asked.other_words),
                "between": " & ",
            },
        )
        rows: list[tuple[bool, bool]] = cursor.fetchall()
    return rows


def _around(asked: Asked, texts: list[str]) -> list[list[tuple[str, bool]]]:
    if not texts:
        return []
    with connection.cursor() as cursor:
        cursor.execute(
            AROUND,
            {
                "texts": texts,
                "words": list(asked.words),
                "between": " | ",
                "options": OPTIONS,
            },
        )
        return [pieces(marked, BEGIN, END) for (marked,) in cursor.fetchall()]


def _history(case: Case, asked: Asked) -> Group:
    """Return the acts, newest first, in whose person, reason or values all the words stand."""
    words = tuple(word for word in asked.words if word not in FILLERS)
    if not words or asked.named:
        return Group("history", "History", [], 0)
    rows = told_of(case.pk).annotate(said=Cast("changes", TextField()))
    fits = reduce(
        and_,
        (
            Q(said__icontains=word)
            | Q(actor_name__icontains=word)
            | Q(reason__icontains=word)
            | Q(act__icontains=word)
            for word in words
        ),
    )
    names = ("transaction", "at", "actor_name", "act", "reason", "changes")
    events = list(rows.filter(fits).order_by("-transaction", "id").values(*names)[:MOST_EVENTS])
    acts: dict[int, dict[str, Any]] = {}
    for event in events:
        acts.setdefault(event["transaction"], event)
    page = reverse("history:case-history", kwargs={"case_id": case.pk})
    hits = [
        Hit(
            title=act_words(event["act"]) if event["act"] else "changed directly in the database",
            url=f"{page}?before={event['transaction'] + 1}",
            pieces=[(_told(event, words), False)],
            at=event["at"],
            who=event["actor_name"],
        )
        for event in list(acts.values())[:MOST]
    ]
    return Group("history", "History", hits, len(acts), len(events) < MOST_EVENTS)


def _told(event: dict[str, Any], words: Sequence[str]) -> str:
    """Return the reason, and the value in which one of the words stands."""
    said = [event["reason"]] if event["reason"] else []
    for name, (_, becomes) in event["changes"].items():
        text = becomes if isinstance(becomes, str) else json.dumps(becomes, ensure_ascii=False)
        if any(word in text.lower() for word in words):
            said.append(f"{name.replace('_', ' ')}: {around(text, words)}")
            break
    return ". ".join(said)
