"""Authorship is an event, acts keep their number for ever, looks and answers are written once."""

from django.db import migrations, models

from me_office.audit.sql_files import functions, trigger

MADE = (
    "audit_act_number",
    "audit_change",
    "audit_keep_authorship",
    "audit_refuse",
    "audit_note_look",
    "audit_answer_once",
    "audit_clear_answers",
)


class Migration(migrations.Migration):
    """Not reversible: events were written by the new function, and numbers of acts go on from it."""

    dependencies = [("audit", "0003_what_a_key_was_sent_with"), ("accounts", "0002_staff_version")]
    operations = [
        migrations.AlterField("accessevent", "case_id", models.UUIDField(null=True)),
        migrations.AddField(
            "accessevent", "rows", models.PositiveIntegerField(null=True)
        ),
        migrations.AddField("accessevent", "asked", models.JSONField(default=dict)),
        migrations.RunSQL(functions(*MADE)),
        migrations.RunSQL(trigger("answer_once", "audit_requestanswer")),
    ]
