"""The office's compiler writes the very words that Django's own writes, for whatever is asked."""

from __future__ import annotations

from contextlib import suppress
from decimal import Decimal

import pytest
from django.apps import apps
from django.contrib.postgres.expressions import ArraySubquery
from django.core.exceptions import FieldError
from django.db import DatabaseError, connection, transaction
from django.db.backends.postgresql import compiler as plain
from django.db.models import Count, DecimalField, Exists, F, OrderBy, OuterRef, Subquery, Value
from django.db.models.functions import JSONObject, Lower
from django.test.utils import CaptureQueriesContext

from cases.models import Case, Decedent
from evidence.photographs.models import Photograph
from me_office import prepared
from me_office.postgresql import compiler
from me_office.prepared import PreparedLists, PreparedRows
from tests.builders import make_case

CASES = Case.objects.all()
NAMES_OF_PEOPLE = Decedent.objects.filter(case=OuterRef("case"))
NAMES = Decedent.objects.filter(case=OuterRef("pk"))
ASKED = {
    "by the model's own order": CASES,
    "by nothing": CASES.order_by(),
    "by a name, both ways": CASES.order_by("number", "-reported_at"),
    "by a name elsewhere": CASES.order_by("decedent__family_name", "-pathologist__username"),
    "with what is pointed at": CASES.select_related("decedent", "pathologist").order_by("number"),
    "by an expression": CASES.order_by(F("reported_at").desc(nulls_last=True), "pk"),
    "by an expression that is selected": CASES.annotate(low=Lower("number")).order_by("low"),
    "by it and a name": CASES.annotate(low=Lower("number")).order_by("-low", "pk"),
    "by what is selected under its name": CASES.values("number", "state").order_by("state"),
    "by what is selected under another": CASES.values("state", n=F("number")).order_by("n"),
    "by an object of an order": CASES.order_by(OrderBy(F("number"), descending=True)),
    "counted by groups": CASES.values("state").annotate(n=Count("pk")).order_by("-n", "state"),
    "by chance": CASES.order_by("?"),
    "backwards": CASES.order_by("number").reverse(),
    "the first of each": CASES.order_by("state", "number").distinct("state"),
    "each once": CASES.order_by("decedent__family_name").distinct(),
    "beside others": CASES.filter(state="open").union(CASES.filter(number="x")).order_by("number"),
    "with others inside": CASES.filter(Exists(NAMES)).annotate(
        n=Subquery(NAMES.order_by("-family_name").values("family_name")[:1])
    ),
    "with a value": CASES.annotate(one=Value(1)).order_by("one", "-number"),
    "some of them": CASES.order_by("number")[3:9],
    "with some of its columns": CASES.only("number", "state"),
    "without some of its columns": CASES.select_related("pathologist").defer(
        "heading", "pathologist__password"
    ),
    "with all that is pointed at": CASES.select_related(),
    "with what points at it and beyond": CASES.select_related(
        "decedent__created_by", "decedent__changed_by", "created_by"
    ).order_by("-number", "pk", "number"),
    "whole rows inside": CASES.filter(
        Exists(CASES.filter(created_by=OuterRef("created_by")).select_related("decedent")),
        pk__in=CASES.order_by("number")[:5],
    ),
    "by a column of a value and its own": CASES.annotate(low=Lower("number")).order_by("number"),
    "by the record that is pointed at": CASES.order_by("created_by", "number"),
    "with what is pointed at by what is pointed at": Decedent.objects.select_related(
        "case__pathologist", "case__created_by"
    ),
    "with what is pointed at and a value": CASES.select_related("decedent").annotate(
        low=Lower("number"), none=Exists(NAMES.none()), all=~Exists(NAMES.none())
    ),
    "by part of what is not selected": CASES.annotate(at=F("reported_at"))
    .values("number")
    .order_by("-at", "number"),
    "by a name from behind": CASES.order_by("-reported_at", "-pathologist"),
    "with lists, texts and facts": Photograph.objects.annotate(
        rows=ArraySubquery(NAMES_OF_PEOPLE.values(row=JSONObject(name="family_name"))),
        facts=JSONObject(number="number"),
        half=F("number") * Value(Decimal("0.5"), output_field=DecimalField()),
    ),
    "with extra words": CASES.extra(select={"two": "1 + 1"}, order_by=["two"]),
}


def written(queryset, of) -> tuple[object, ...]:
    """Return the words, what stands in them, and which column is read as what."""
    own = of.SQLCompiler(queryset.query.clone(), connection, None)
    sql, params = own.as_sql()
    columns = [column for column, _, _ in own.select]
    made = {
        place: ([one.__qualname__ for one in by], of)
        for place, (by, of) in own.get_converters(columns).items()
    }
    return sql, tuple(params), columns, made, read_as(own.klass_info), own.annotation_col_map


def read_as(of):
    """Return where a model's columns are, and those of the models beside it."""
    if of is None:
        return None
    told = ("model", "field", "reverse", "select_fields", "from_parent")
    named = {name: of.get(name) for name in told}
    return named, [read_as(beside) for beside in of.get("related_klass_infos", ())]


# How lists and facts are written depends on the server's version, which is asked of it once.
@pytest.mark.django_db
@pytest.mark.parametrize("asked", ASKED.values(), ids=ASKED)
def test_what_is_asked_is_written_as_django_writes_it(asked):
    assert written(asked, compiler) == written(asked, plain)


def test_every_list_in_its_own_order_is_written_as_django_writes_it():
    models = [one for one in apps.get_models() if one._meta.managed]
    assert len(models) > 60
    for model in models:
        asked = model._default_manager.all()
        assert written(asked, compiler) == written(asked, plain), model


def test_all_that_a_row_points_at_is_written_as_django_writes_it():
    ways = 0
    for model in apps.get_models():
        fields = [one.name for one in model._meta.fields if one.is_relation]
        behind = [one for one in model._meta.related_objects if one.one_to_one]
        for names in (fields[:3], fields[3:], [one.name for one in behind]):
            if names:
                asked = model._default_manager.select_related(*names)
                assert written(asked, compiler) == written(asked, plain), (model, names)
                ways += len(names)
    assert ways > 200


@pytest.mark.parametrize("written_by", [compiler, plain])
def test_what_points_nowhere_is_refused_each_time(written_by):
    for names in (["number"], ["nothing"], ["decedent__nothing"], ["decedent", "number"]):
        with pytest.raises(FieldError, match="select_related"):
            written(CASES.select_related(*names), written_by)


@pytest.mark.django_db
def test_what_is_read_beside_a_row_knows_it_where_it_is_the_only_one():
    made = make_case()
    case = Case.objects.select_related("decedent", "created_by").get(pk=made.pk)
    cached = {name: one.pk for name, one in case._state.fields_cache.items()}
    assert cached == {"decedent": made.decedent.pk, "created_by": made.created_by_id}
    assert case.decedent.case is case
    assert case.created_by._state.fields_cache == {}


def test_what_the_package_writes_is_what_the_office_uses():
    assert type(CASES.query.get_compiler("default")) is compiler.SQLCompiler
    assert set(compiler.__all__) == set(plain.__all__)


@pytest.mark.parametrize("written_by", [compiler, plain])
def test_a_name_with_a_dollar_is_refused_each_time(written_by):
    own = written_by.SQLCompiler(CASES.query.clone(), connection, None)
    for _ in range(2):
        with pytest.raises(ValueError, match="Dollar"):
            own.quote_name_unless_alias("a$b")


@pytest.mark.django_db
def test_prepared_rows_are_those_of_their_key_as_often_as_they_are_asked():
    one, other = make_case(heading="50% %s"), make_case(family_name="Marlow")
    rows = PreparedRows(
        lambda key: Case.objects.filter(pk=key).annotate(low=Lower("decedent__family_name"))
    )
    for case, name in ((one, "hallstead"), (other, "marlow"), (one, "hallstead")):
        [read] = rows.objects(Case, case.pk)
        assert (read, read.heading, read.low) == (case, case.heading, name)
    assert rows.objects(Case, make_case().created_by_id) == []
    assert rows.one(Case, make_case().created_by_id) is None
    people = PreparedRows(lambda key: Case.objects.filter(pk=key).select_related("created_by"))
    for case in (one, other, one):
        read = people.one(Case, case.pk)
        assert read == case and read.__dict__["_state"].fields_cache["created_by"].pk
        assert read.created_by == case.created_by
    pairs = PreparedRows(lambda key: Case.objects.filter(pk=key).values_list("pk", "heading"))
    assert pairs.tuples(one.pk) == [(one.pk, "50% %s")]
    both = PreparedRows(
        lambda case, person: Case.objects.filter(pk=case, created_by=person).values_list("pk"),
        keys=2,
    )
    assert both.tuples(one.pk, one.created_by_id) == [(one.pk,)]
    assert both.tuples(one.pk, other.created_by_id) == []
    with pytest.raises(ValueError, match="shorter"):
        both.tuples(one.pk)


@pytest.mark.django_db
def test_prepared_lists_are_those_of_their_keys_however_many_they_are(monkeypatch):
    monkeypatch.setattr(prepared, "MOST_KEYS", 2)
    keys = [make_case().pk for _ in range(4)]
    asked = []

    def rows_of(cases):
        asked.append(len(cases))
        return Case.objects.filter(pk__in=cases).order_by("-pk")

    lists = PreparedLists(rows_of)
    for wanted in (keys[:1], keys[1:2], keys[:2], keys[2:], [], keys[1:], keys[:1], keys[1:]):
        read = lists.objects(Case, wanted)
        assert [case.pk for case in read] == sorted(wanted, reverse=True)
    # Once for one and for two of them; each time for none and for more than that.
    assert asked == [1, 2, 0, 3, 3]


def kept_by_the_database() -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT statement FROM pg_prepared_statements ORDER BY prepare_time")
        return [words for (words,) in cursor.fetchall()]


@pytest.fixture
def long_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every statement be one that takes longer to understand than to answer."""
    monkeypatch.setattr(prepared, "LONG", 0)


@pytest.mark.django_db
@pytest.mark.usefixtures("long_ones")
def test_a_long_statement_is_understood_once_and_answers_the_same_ever_after():
    one, other = make_case(heading="50% %s $1 '"), make_case(family_name="Marlow")
    rows = PreparedRows(
        lambda key: Case.objects.filter(pk=key, heading__contains="%").select_related("decedent")
    )
    pairs = PreparedRows(
        lambda case, person: Case.objects.filter(pk=case, created_by=person).values_list("pk"),
        keys=2,
    )
    before = len(kept_by_the_database())
    counts = []
    for _ in range(8):
        with CaptureQueriesContext(connection) as asked:
            read = [rows.objects(Case, key) for key in (one.pk, other.pk, str(one.pk))]
            both = [pairs.tuples(one.pk, case.created_by_id) for case in (one, other)]
        assert [[case.pk for case in cases] for cases in read] == [[one.pk], [], [one.pk]]
        assert read[0][0].decedent.family_name == "Hallstead"
        assert read[0][0].reported_at == one.reported_at
        assert both == [[(one.pk,)], []]
        counts.append(len(asked))
    assert counts == [5] * 8
    assert len(kept_by_the_database()) == before + 2


@pytest.mark.django_db
@pytest.mark.usefixtures("long_ones")
def test_a_long_statement_that_failed_is_understood_anew():
    case = make_case()
    rows = PreparedRows(lambda key: Case.objects.filter(pk=key))
    rows.one(Case, case.pk)
    for _ in range(2):
        with pytest.raises(DatabaseError), transaction.atomic():
            with connection.cursor() as cursor, suppress(DatabaseError):
                cursor.execute("SELECT nothing")
            rows.one(Case, case.pk)
    for _ in range(3):
        assert rows.one(Case, case.pk) == case
    with pytest.raises(ValueError, match="badly formed"):
        rows.one(Case, "'); DROP TABLE cases_case")


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("long_ones")
def test_what_one_connection_understood_is_no_other_s():
    case = make_case()
    rows = PreparedRows(lambda key: Case.objects.filter(pk=key))
    for _ in range(3):
        connection.close()
        for _ in range(3):
            assert rows.one(Case, case.pk) == case
        assert len(kept_by_the_database()) == 1


@pytest.mark.django_db
def test_a_short_statement_is_asked_as_it_is():
    case = make_case()
    rows = PreparedRows(lambda key: Case.objects.filter(pk=key).values_list("pk"))
    for _ in range(3):
        with CaptureQueriesContext(connection) as asked:
            rows.tuples(case.pk)
        assert asked[0]["sql"].startswith("SELECT")
