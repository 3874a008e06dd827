"""Finds cases by number, name (also misspelled), date, place and the words of the heading."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib.postgres.search import TrigramWordSimilarity
from django.db import connection, transaction
from django.db.models import FloatField, Q, Value
from django.db.models.functions import Cast, Upper

from cases.access import cases_open_to
from cases.models import Decedent
from cases.rules.search import NumberMeant, SearchTerms
from me_office.accounts.models import Staff
from me_office.moments import clock_words

MOST = 20
# Fewer digits would be found in every other number, and have no trigram to look for.
SHORTEST_PART = 3
# Lower than the extension's 0.6, so that Halstad, Halsted and Hollstead find Hallstead.
NAME_LIKENESS = 0.45
# Names whose cases are looked up at a time: of a common name, the rest would never be shown.
CLOSEST = 60
NUMBER, NAME, DATE, PLACE, HEADING = "number", "name", "date", "place", "heading"


@dataclass(frozen=True)
class Match:
    """A case that was found, and why."""

    case: Any
    why: tuple[str, ...]


@dataclass(frozen=True)
class Found:
    """The cases that were found, best first; `more` when there were more than are shown."""

    matches: list[Match]
    more: bool


def found_cases(actor: Staff, terms: SearchTerms) -> Found:
    """Return the cases open to a person that a search means, best first.

    Each branch uses its own index. What ranks lower is looked for only where what ranks higher
    does not fill the page: in a large office a name alone does, and nothing else would be shown.
    Of more than `CLOSEST` equally close names, those that were logged last are looked at.
    """
    hits: list[Any] = []
    found: set[UUID] = set()
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(
            "SELECT set_config('pg_trgm.word_similarity_threshold', %s, true), "
            # Comparing names is guessed to cost nothing, so that the whole table would be read
            # for a name whose parts are common. Only bitmaps read the trigram indexes.
            "set_config('enable_seqscan', 'off', true), "
            "set_config('enable_indexscan', 'off', true)",
            [str(NAME_LIKENESS)],
        )
        for first, *others in _branches(actor, terms):
            if first.model is Decedent:
                more = _named(actor, first, *others)
            else:
                more = list(first.union(*others, all=True) if others else first)
            hits += more
            found |= {key for key, *_ in more}
            if len(found) > MOST or (found and terms.number and terms.number.is_whole):
                break
    whys: dict[UUID, list[str]] = defaultdict(list)
    ranks: dict[UUID, tuple[float, datetime]] = {}
    for key, why, rank, reported_at in hits:
        whys[key].append(why)
        ranks[key] = max(ranks.get(key, (0.0, reported_at)), (rank, reported_at))
    best = sorted(ranks, key=lambda key: (ranks[key], str(key)), reverse=True)[:MOST]
    cases = cases_open_to(actor).select_related("decedent", "pathologist").in_bulk(best)
    matches = [Match(cases[key], _words(cases[key], whys[key])) for key in best if key in cases]
    return Found(matches, more=len(ranks) > MOST)


def _branches(actor: Staff, terms: SearchTerms) -> Iterator[list[Any]]:
    """Give what to look for, in groups: every hit of a group outranks those of the later ones."""
    if terms.number:
        yield [_branch(_by_number(actor, terms.number), NUMBER, Value(3.0))]
    if terms.first_day and terms.last_day:
        yield [_branch(_by_date(actor, terms.first_day, terms.last_day), DATE, Value(2.0))]
    # No name has a digit in it; an address mostly has.
    if terms.words and not any(c.isdigit() for c in terms.text):
        phrase = " ".join(terms.words)
        yield [_near_names(phrase), *([_bearers(phrase)] if phrase.isalpha() else [])]
    if terms.words:
        place = _holding(actor, "place_of_death", terms.words)
        heading = _holding(actor, "heading", terms.words)
        yield [_branch(place, PLACE, Value(1.3)), _branch(heading, HEADING, Value(1.2))]


def _branch(cases: Any, why: str, rank: Any) -> Any:
    ranked = cases.annotate(why=Value(why), rank=Cast(rank, FloatField()))
    best = ranked.order_by("-rank", "-reported_at", "-id")
    return best.values_list("pk", "why", "rank", "reported_at")[: MOST + 1]


def _by_number(actor: Staff, meant: NumberMeant) -> Any:
    cases = cases_open_to(actor)
    if meant.year is not None:
        cases = cases.filter(number_year=meant.year)
        return cases.filter(number_running=int(meant.running)) if meant.running else cases
    wanted = Q(number__iendswith=meant.printed)
    if len(meant.running) >= SHORTEST_PART:
        wanted |= Q(number__icontains=meant.running)
    return cases.filter(wanted)


def _by_date(actor: Staff, first: date, last: date) -> Any:
    start = datetime.combine(first, time.min, settings.OFFICE_ZONE)
    end = datetime.combine(last + timedelta(days=1), time.min, settings.OFFICE_ZONE)
    return cases_open_to(actor).filter(reported_at__gte=start, reported_at__lt=end)


def _bearers(word: str) -> Any:
    """Return keys of cases, open or not, with a word in their names, those logged last first.

    No name can be closer: a common one fills the page before likenesses are computed.
    """
    names = Decedent.objects.annotate(upper_name=Upper("search_name"))
    bearers = names.filter(upper_name__regex=rf"\m{word}\M").order_by("-case")
    return bearers.annotate(rank=Value(2.0, FloatField())).values_list("case", "rank")


def _near_names(phrase: str) -> Any:
    """Return keys of cases, open or not, whose names are like a phrase, the closest first."""
    names = Decedent.objects.annotate(upper_name=Upper("search_name"))
    near = names.filter(upper_name__trigram_word_similar=phrase)
    # 1.45 at the least: above every place and heading.
    rank = TrigramWordSimilarity(phrase, "upper_name") + Value(1.0)
    ranked = near.annotate(rank=Cast(rank, FloatField())).order_by("-rank", "-case")
    return ranked.values_list("case", "rank")


def _named(actor: Staff, near: Any, *bearers: Any) -> list[Any]:
    """Return the hits among names that are open to a person; bearers alone, if they fill the page.

    The names are ranked before their cases are read. Three statements each at the most.
    """
    hits: list[Any] = []
    for names, least in (*((one, MOST) for one in bearers), (near, 0)):
        hits = _open_among(actor, names, least)
        if len(hits) > MOST:
            break
    return hits


def _open_among(actor: Staff, names: Any, least: int) -> list[Any]:
    """Return the hits among ranked names; none where there are no more names than `least`.

    Only where what the person may not know of has left the page unfilled, the database looks for
    the closest among those that are open.
    """
    ranks = dict(names[:CLOSEST])
    if len(ranks) <= least:
        return []
    known = cases_open_to(actor).filter(pk__in=list(ranks)).order_by()
    hits = [(key, NAME, ranks[key], at) for key, at in known.values_list("pk", "reported_at")]
    if len(ranks) < CLOSEST or len(hits) > MOST:
        return hits
    opened = names.filter(case__in=cases_open_to(actor))
    rows = opened.values_list("case", "rank", "case__reported_at")[:CLOSEST]
    return [(key, NAME, rank, at) for key, rank, at in rows]


def _holding(actor: Staff, column: str, words: tuple[str, ...]) -> Any:
    cases = cases_open_to(actor)
    for word in words:
        cases = cases.filter(**{f"{column}__icontains": word})
    return cases


def _words(case: Any, whys: list[str]) -> tuple[str, ...]:
    said = {
        NUMBER: "number",
        NAME: f"name {case.decedent.search_name}",
        DATE: "reported " + clock_words(case.reported_at, "%d %b %Y, %H:%M", settings.OFFICE_ZONE),
        PLACE: f"place {case.place_of_death}",
        HEADING: f"heading {case.heading}",
    }
    return tuple(said[why] for why in said if why in whys)
