"""Endpoints of wound paths."""

from __future__ import annotations

from findings.api.rows import part_of_a_finding
from findings.paths import actions
from findings.paths import serializers as s
from findings.paths.models import WoundPath
from findings.queries import finding_for_page


def _printed(path: WoundPath) -> dict[str, object]:
    """A path with its finding read anew, so that coordinates and words are those of now."""
    finding = finding_for_page(path.case, path.finding_id)
    return s.printed(path, finding)


routes = part_of_a_finding("path", "wound_path", "a wound path", actions.record_path,
    actions.change_path, actions.void_path,
    (s.NewPathSerializer, s.PathChangeSerializer, s.PathSerializer),
    printed=_printed)  # fmt: skip
