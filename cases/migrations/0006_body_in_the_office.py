"""Since when the body is in the office: a column that follows receipt, release and return."""

from django.db import migrations, models

# Until now no release was recorded: every body that was received is still here. Derived from
# records that are watched themselves, so neither the trail nor the lock of signed cases is asked.
FILL = """
ALTER TABLE cases_case DISABLE TRIGGER USER;
UPDATE cases_case SET body_in_since = receipt.received_at
  FROM cases_bodyreceipt receipt
 WHERE receipt.case_id = cases_case.id AND receipt.voided_at IS NULL;
ALTER TABLE cases_case ENABLE TRIGGER USER;
"""


class Migration(migrations.Migration):
    dependencies = [("cases", "0005_american_words")]

    operations = [
        migrations.AddField(
            model_name="case",
            name="body_in_since",
            field=models.DateTimeField(
                blank=True, editable=False, null=True, verbose_name="body in the office since"
            ),
        ),
        migrations.RunSQL(FILL, migrations.RunSQL.noop),
        migrations.AddIndex(
            model_name="case",
            index=models.Index(
                condition=models.Q(("body_in_since__isnull", False)),
                fields=["body_in_since", "id"],
                name="case_body_here",
            ),
        ),
    ]
