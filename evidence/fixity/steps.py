"""What the check of the store adds to the worklists."""

from __future__ import annotations

from cases.worklists import Section
from cases.worklists import register as register_section
from evidence.fixity.actions import LOOKERS
from evidence.fixity.alarms import store_alarms

register_section(
    Section(
        key="evidence-store",
        title="Damaged or missing files in the store",
        roles=LOOKERS,
        order=1,
        rows=store_alarms,
    )
)
