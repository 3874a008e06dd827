"""What the endpoints of a finding's parts and of the examination's rows have in common."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.urls import URLPattern

from cases.api.shared import CASE
from findings.api.serializers import VoidSerializer
from me_office.shell.endpoints import Shape, adds, at, changes

FINDING = f"{CASE}/findings/<uuid:finding_id>"


def changed_and_voided(
    address: str, name: str, word: str, a_record: str, change: Callable[..., object],
    void: Callable[..., object], takes: Shape, answers: Shape, **more: Any,
) -> list[URLPattern]:  # fmt: skip
    """Return the addresses at which one record is changed and voided; `word` begins their names."""
    return [
        at(address, name,
           patch=changes(f"{word}_change", change, takes, answers,
               f"Change {a_record}; only the fields sent change.", **more)),
        at(f"{address}void/", f"{name}-void",
           post=changes(f"{word}_void", void, VoidSerializer, answers, f"Void {a_record}.",
               **more)),
    ]  # fmt: skip


def part_of_a_finding(
    kind: str, word: str, a_record: str, add: Callable[..., object], change: Callable[..., object],
    void: Callable[..., object], shapes: tuple[Shape, Shape, Shape], **more: Any,
) -> list[URLPattern]:  # fmt: skip
    """Return the addresses of a kind of record that hangs on a finding.

    `shapes` are those of a new one, of a change, and of what is printed.
    """
    new, changed, shown = shapes
    return [
        at(f"{FINDING}/{kind}s/", f"{kind}s",
           post=adds(f"{word}_record", add, new, shown, f"Record {a_record}.", **more)),
        *changed_and_voided(f"{CASE}/{kind}s/<uuid:{kind}_id>/", kind, word, a_record, change,
            void, changed, shown, **more),
    ]  # fmt: skip
