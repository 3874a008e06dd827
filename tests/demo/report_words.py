"""The words of seven reports of the invented office, kept so that a change of the prose shows.

`KEEP_REPORTS=1 .venv/bin/python -m pytest tests/demo -k as_they_are_kept` writes them anew: read
the difference before it is committed.
"""

from __future__ import annotations

import re
from pathlib import Path

from cases.review.content import report_content
from me_office.demo.office import key_of

FOLDER = Path(__file__).parent / "reports"
KEPT = ("ashgrove", "brackley", "denholm", "hallstead", "marlow", "tamsin", "wrenfield")
# Without what tells the days on which the office was loaded.
SECTIONS = frozenset(
    {"summary", "opinion", "external", "injury", "postmortem", "other", "treatment", "internal"}
)


def report_words(name: str) -> str:
    """Return the words of a report, a passage a line, under the titles of its sections."""
    lines = []
    for section in report_content(key_of(name))["sections"]:
        if section["key"] not in SECTIONS or not section["passages"]:
            continue
        lines.append(f"\n{section['title'].upper()}")
        group = ""
        for passage in section["passages"]:
            if passage.get("group", "") != group:
                group = passage.get("group", "")
                lines.append(f"  {group}")
            lead = f"{passage['lead']}: " if passage.get("lead") else ""
            told = passage.get("told") or ([passage] if passage.get("number") else [])
            numbers = "".join(f" [{one['number']}]" for one in told)
            lines.append(f"{lead}{passage['text']}{numbers}")
    # What is measured on a painted picture hangs on how large it was painted.
    words = re.sub(r"(its \w+ measures) [\d.]+ cm \([^)]*\)", r"\1 …", "\n".join(lines))
    return words.lstrip() + "\n"
