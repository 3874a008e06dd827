"""No two accounts print one name. Those that do are told apart by their user names first."""

import json

from django.db import migrations, models

# Compatibility decomposition (Unicode Standard Annex 15) leaves an accent as a mark of its own.
# Some letters have none: they are written out.
NAME_KEY = r"""
CREATE FUNCTION accounts_name_key(name text) RETURNS text
LANGUAGE sql IMMUTABLE STRICT PARALLEL SAFE SET search_path = pg_catalog, pg_temp AS $$
  SELECT translate(
    regexp_replace(
      lower(normalize(replace(replace(replace(lower(name), 'ß', 'ss'), 'æ', 'ae'), 'œ', 'oe'), NFKD)),
      '[\u0300-\u036f\s.,;:''"’‘“”()_–—‐-]', '', 'g'),
    'øØłŁđĐıðÐ', 'oollddidd')
$$;
"""
LONGEST = 120


def tell_apart(apps, schema_editor):
    """Add the user name to every name but the oldest account's that carries it."""
    context = {
        "act": "tell_equal_names_apart",
        "reason": "Two accounts carried one printed name.",
        "source": "task",
    }
    with schema_editor.connection.cursor() as cursor:
        cursor.execute("SELECT set_config('office.audit', %s, true)", [json.dumps(context)])
        cursor.execute(
            "SELECT id, username, display_name, accounts_name_key(display_name)"
            " FROM accounts_staff ORDER BY date_joined, id"
        )
        people = cursor.fetchall()
        taken = {key for *_, key in people}
        first = set()
        for person, username, name, key in people:
            if not key or key not in first:
                first.add(key)
                continue
            number = 1
            while key in taken:
                more = f" ({username})" if number == 1 else f" ({username} {number})"
                told = name[: LONGEST - len(more)] + more
                cursor.execute("SELECT accounts_name_key(%s)", [told])
                key = cursor.fetchone()[0]
                number += 1
            taken.add(key)
            cursor.execute(
                "UPDATE accounts_staff SET display_name = %s, version = version + 1"
                " WHERE id = %s",
                [told, person],
            )
        cursor.execute("SELECT set_config('office.audit', '', true)")


class Migration(migrations.Migration):

    dependencies = [
        ('accounts', '0004_generation_of_sign_ins'),
    ]

    operations = [
        migrations.RunSQL(NAME_KEY, "DROP FUNCTION accounts_name_key(text)"),
        migrations.RunPython(tell_apart, migrations.RunPython.noop),
        migrations.AddField(
            model_name='staff',
            name='name_key',
            field=models.GeneratedField(
                db_persist=True,
                expression=models.Func(
                    'display_name',
                    function='accounts_name_key',
                    output_field=models.TextField(),
                ),
                output_field=models.TextField(),
            ),
        ),
        migrations.AddConstraint(
            model_name='staff',
            constraint=models.UniqueConstraint(
                condition=models.Q(('name_key', ''), _negated=True),
                fields=('name_key',),
                name='staff_printed_name_once',
                violation_error_message='Somebody in this office has this printed name.',
            ),
        ),
    ]
