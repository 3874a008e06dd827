"""Which words of the database's errors the log may hold: every class, and every name.

The classes are those of PostgreSQL's documentation, appendix A, PostgreSQL error codes.
"""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from me_office.logs.faults import said

TOLD = "Hallstead"


class Told(Exception):
    """An error as the driver raises it."""

    def __init__(self, sqlstate: str, **diag: str) -> None:
        super().__init__(f'... ("{TOLD}")')
        self.sqlstate, self.diag = sqlstate, SimpleNamespace(**diag)


@pytest.mark.parametrize("state", ["08006", "42P01", "53300", "54001", "55P03", "57014", "58030"])
def test_what_tells_of_the_server_keeps_the_first_line_of_its_words(state: str):
    words = said(Told(state, message_primary=f"what is wrong\nDETAIL: {TOLD}"))
    assert words.endswith(f"Told: {state} what is wrong")


@pytest.mark.parametrize("state", ["21000", "22P02", "23505", "25006", "40001", "P0001", "XX000"])
def test_what_may_quote_a_value_keeps_its_state_alone(state: str):
    assert said(Told(state, message_primary=f'not this: "{TOLD}"')).endswith(f"Told: {state}")


@pytest.mark.parametrize("name", ["constraint", "table", "column"])
def test_what_an_error_names_is_said(name: str):
    assert said(Told("23505", **{f"{name}_name": "by_a"})).endswith(f"Told: 23505 {name} by_a")
