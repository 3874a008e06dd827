"""A packet is made like everything else that a worker makes: the same states, the same progress."""

from django.db import migrations, models

SAME_STATE = """
ALTER TABLE packets_packet DISABLE TRIGGER USER;
UPDATE packets_packet SET state = CASE state WHEN 'building' THEN 'making' ELSE 'made' END
 WHERE state IN ('building', 'built');
ALTER TABLE packets_packet ENABLE TRIGGER USER;
"""
BACK = """
ALTER TABLE packets_packet DISABLE TRIGGER USER;
UPDATE packets_packet SET state = CASE state WHEN 'making' THEN 'building' ELSE 'built' END
 WHERE state IN ('making', 'made');
ALTER TABLE packets_packet ENABLE TRIGGER USER;
"""
SAME_PROGRESS = """
INSERT INTO jobs_jobprogress (key, percent, step, beat_at, attempts)
SELECT packet_id, percent, step, beat_at, 0 FROM packets_packetprogress
    ON CONFLICT (key) DO NOTHING;
"""


class Migration(migrations.Migration):
    dependencies = [
        ("packets", "0002_redacted_copies_and_bare_copies"),
        ("jobs", "0002_count_attempts"),
    ]

    operations = [
        migrations.RemoveConstraint("packet", "packet_built_is_whole"),
        # The same datum in another word: no change that the history should tell.
        migrations.RunSQL(SAME_STATE, BACK),
        migrations.AlterField(
            "packet",
            "state",
            models.CharField(
                choices=[
                    ("waiting", "waiting"),
                    ("making", "making"),
                    ("made", "made"),
                    ("failed", "failed"),
                ],
                default="waiting",
                editable=False,
                max_length=8,
            ),
        ),
        migrations.AddField(
            "packet",
            "holds",
            models.JSONField(
                editable=False,
                help_text="What decides about what it holds, as it was built",
                null=True,
            ),
        ),
        migrations.AddConstraint(
            "packet",
            models.CheckConstraint(
                condition=~models.Q(state="made")
                | (
                    models.Q(built_at__isnull=False, size_bytes__isnull=False)
                    & ~models.Q(sha256="")
                    & ~models.Q(path="")
                ),
                name="packet_built_is_whole",
            ),
        ),
        migrations.RunSQL(SAME_PROGRESS, migrations.RunSQL.noop),
        migrations.DeleteModel("PacketProgress"),
    ]
