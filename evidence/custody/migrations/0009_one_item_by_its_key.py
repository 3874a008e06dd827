"""Who holds one item is kept by reading that item, and not all of the office."""

from importlib import import_module

from django.db import migrations

# A plan for one item or all, kept for any key, reads every item: there is one for one item.
KEEP = """
CREATE OR REPLACE FUNCTION custody_keep_standing(of_item uuid) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
  IF of_item IS NULL THEN
    PERFORM custody_keep_standing(id) FROM evidence_item;
  ELSE
    INSERT INTO custody_itemstanding (item_id, sealed, loose, holder_id, held_by, held_since, left_office)
    SELECT item.id, closed.yes, item.kind <> 'photograph' AND item.container_id IS NULL AND NOT closed.yes,
           last.to_staff_id, COALESCE(last.to_party, ''), last.at,
           last.receipt_id IS NOT NULL
      FROM evidence_item item
      CROSS JOIN LATERAL (
        SELECT EXISTS (SELECT 1 FROM custody_seal seal
                        WHERE seal.item_id = item.id AND seal.voided_at IS NULL
                          AND seal.broken_at IS NULL) AS yes) closed
      LEFT JOIN LATERAL (
        SELECT to_staff_id, to_party, at, receipt_id FROM custody_transfer
         WHERE item_id = item.id AND voided_at IS NULL
         ORDER BY at DESC, id DESC LIMIT 1) last ON true
     WHERE item.id = of_item
    ON CONFLICT (item_id) DO UPDATE
       SET sealed = EXCLUDED.sealed, loose = EXCLUDED.loose, holder_id = EXCLUDED.holder_id,
           held_by = EXCLUDED.held_by, held_since = EXCLUDED.held_since,
           left_office = EXCLUDED.left_office;
  END IF;
END;
$$;
"""
KEPT = import_module("evidence.custody.migrations.0006_parts_of_kits").KEEP


class Migration(migrations.Migration):
    dependencies = [
        ("custody", "0008_custody_state"),
    ]

    operations = [migrations.RunSQL(KEEP, KEPT)]
