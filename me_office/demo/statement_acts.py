"""Acts on earlier statements: adding one as text, marking its lines.

Each function is named like the office's action that it calls.
"""

from __future__ import annotations

from cases.statements import actions, reading
from cases.statements.rules import read_place
from me_office.demo.play import Given, Play


def add_statement(play: Play, given: Given) -> None:
    """Add a statement that was pasted."""
    reading.add(
        given.actor,
        record_id=given.key,
        entry=given.entry,
        text=given.act.more["text"],
        **given.common,
    )


def mark_passage(play: Play, given: Given) -> None:
    """Mark lines of a statement and say what they are about."""
    place = read_place(given.act.more["lines"])
    if place is None:
        raise ValueError(f"{given.act.more['lines']} names no lines")
    actions.mark_passage(
        given.actor,
        statement_id=play.key(given.act.about),
        record_id=given.key,
        entry={
            "from_page": place.first.page,
            "from_line": place.first.line,
            "to_page": place.last.page,
            "to_line": place.last.line,
        },
        linked=actions.Linked(
            findings=[play.key(name) for name in given.act.more.get("findings", ())],
            photographs=[play.key(name) for name in given.act.more.get("photographs", ())],
            topics=given.act.more.get("topics", ()),
        ),
        **given.common,
    )
