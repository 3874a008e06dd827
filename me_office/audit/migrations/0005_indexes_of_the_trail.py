"""Every read of the trail has an index that serves it, however long the trail grows."""

from django.contrib.postgres.operations import AddIndexConcurrently, RemoveIndexConcurrently
from django.db import migrations, models


class Migration(migrations.Migration):
    """Built while the office works."""

    atomic = False
    dependencies = [("audit", "0004_authorship_acts_and_looks")]
    operations = [
        AddIndexConcurrently(
            "auditevent",
            models.Index(fields=["case_id", "transaction", "id"], name="audit_event_by_case_act"),
        ),
        AddIndexConcurrently(
            "auditevent", models.Index(fields=["transaction", "id"], name="audit_event_by_act")
        ),
        RemoveIndexConcurrently("auditevent", "audit_event_by_case"),
        AddIndexConcurrently(
            "accessevent",
            models.Index(
                fields=["id"], condition=models.Q(case_id=None), name="access_event_of_no_case"
            ),
        ),
        AddIndexConcurrently(
            "requestanswer", models.Index(fields=["at"], name="request_answer_by_age")
        ),
    ]
