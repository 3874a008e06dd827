"""An office from before tables went to other apps keeps its rows, their guards and its keys."""

from __future__ import annotations

import pytest
from django.contrib.contenttypes.models import ContentType
from django.core.management import call_command
from django.db import ProgrammingError, connection, transaction

from evidence.clocks.models import CameraClock
from evidence.fixity.models import FixityProblem, FixityRun
from evidence.gaps.models import SetAside
from evidence.intake.models import PhotographUpload
from me_office.accounts.roles import Role
from me_office.audit import keys
from tests.builders import make_case, make_staff
from tests.platform.way_back import go_back

BEFORE = {
    CameraClock: "evidence.CameraClock",
    FixityProblem: "evidence.FixityProblem",
    FixityRun: "evidence.FixityRun",
    PhotographUpload: "evidence.PhotographUpload",
    SetAside: "lacking.SetAside",
}
AS_IT_WAS = """
    DELETE FROM django_migrations WHERE app IN ('clocks', 'fixity', 'gaps', 'intake')
        OR (app = 'evidence' AND name >= '0010');
    INSERT INTO django_migrations (app, name, applied) VALUES ('lacking', '0001_set_aside', now());
    SET CONSTRAINTS ALL IMMEDIATE;
    DROP TABLE evidence_officeidentity;
    ALTER TABLE evidence_fixityrun DROP part, DROP place, DROP unfinished;
    ALTER TABLE evidence_fixityproblem DROP named_by, DROP row, DROP path, DROP sha256,
        DROP size_bytes;
"""


@pytest.mark.django_db
@pytest.mark.usefixtures("beside_nobody")
def test_the_tables_of_an_older_office_are_taken_over_with_their_rows():
    case, person = make_case(), make_staff(Role.PATHOLOGIST)
    by = {"created_by": person, "changed_by": person}
    clock = CameraClock.objects.create(
        case=case, camera="Camera", zone="UTC", known_from="compared at the scene", **by
    )
    aside = SetAside.objects.create(case=case, key="identification:case", words="-", why="-", **by)
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    # What came later and rests on these tables goes back first.
    go_back(
        *(("letters", None), ("clock", None), ("signatures", None)),
        ("review", "0008_rules_opinions_and_sheets"),
    )
    with connection.cursor() as cursor:
        cursor.execute(AS_IT_WAS)
    types = {}
    for model, label in BEFORE.items():
        kind = ContentType.objects.get_for_model(model)
        types[model] = kind.pk
        ContentType.objects.filter(pk=kind.pk).update(app_label=label.split(".")[0])
    ContentType.objects.clear_cache()

    call_command("migrate", verbosity=0)

    assert (clock, aside) == (CameraClock.objects.get(), SetAside.objects.get())
    for model, key in types.items():
        ContentType.objects.clear_cache()
        kind = ContentType.objects.get(
            app_label=model._meta.app_label, model=model._meta.model_name
        )
        assert kind.pk == key, f"permissions on {model.__name__} stay"
    with pytest.raises(ProgrammingError), transaction.atomic():
        CameraClock.objects.filter(pk=clock.pk).delete()


@pytest.mark.parametrize("model", BEFORE)
def test_what_was_answered_before_the_move_is_found_by_its_old_name(model):
    assert keys._model_of(BEFORE[model]) is model
    assert keys._model_of(model._meta.label) is model
