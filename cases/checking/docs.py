"""Write what the office checks, with examples: `python -m cases.checking.docs` > docs/checks.md.

The page is made of the rules' own data; a test holds it equal.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from cases.checking.facts import facts_from
from cases.checking.rules import ASSISTS, EDITION, LEVEL_WORDS, Level, examples, outcome_of, shipped

PAGE = Path(__file__).resolve().parents[2] / "docs" / "checks.md"


def document() -> str:
    """Return the whole page."""
    return "\n".join(_lines()) + "\n"


def _lines() -> Iterator[str]:
    yield "# Checks of a case"
    yield ""
    yield (
        "Made by `python -m cases.checking.docs` from the rules themselves; the examples are run "
        "by the tests. A supervisor changes what the office asks under *What the office checks*."
    )
    yield ""
    yield ASSISTS.text
    yield ""
    yield EDITION.text
    title = ""
    for rule in shipped().values():
        if rule.title != title:
            title = rule.title
            yield ""
            yield f"## {title}"
        example = examples()[rule.key]
        yield ""
        yield f"### {rule.words}"
        yield ""
        yield f"- {rule.named}; {LEVEL_WORDS[Level(rule.level)]}. Source: {rule.source}."
        yield f"- Documented: {given_words(example.passes)}."
        missing = outcome_of(rule, facts_from(example.fails)).detail
        yield f"- Missing: {given_words(example.fails)} ({missing})."
        if example.silent is not None:
            why = outcome_of(rule, facts_from(example.silent)).detail
            yield f"- Does not apply: {given_words(example.silent)} ({why.rstrip('.')})."


def given_words(given: Mapping[str, Any]) -> str:
    """Return an example as a reader sees it: its fields, in the order of the data."""
    said = [f"{name.replace('_', ' ')} {_value(value)}" for name, value in given.items()]
    return "; ".join(said) if said else "nothing recorded"


def _value(value: object) -> str:
    if value is True:
        return "recorded"
    if value is False or value == "":
        return "not recorded"
    if isinstance(value, list):
        return ", ".join(_value(one) for one in value)
    if isinstance(value, dict):
        return f"({given_words(value)})" if value else "(one, with everything that is asked)"
    return f"“{value}”" if isinstance(value, str) else str(value)


if __name__ == "__main__":
    PAGE.write_text(document(), encoding="utf-8")
