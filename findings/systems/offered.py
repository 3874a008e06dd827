"""The templates that the office begins with, as they stand in `templates.json`.

Each is replaced by what the office writes in its place. Common practice; no published text is
reproduced. No database.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final

from findings.systems.catalogue import PARTS, SYSTEMS
from me_office.statements import COMMON_PRACTICE, statement_list
from me_office.statements import Statement as ListedStatement

STANDARD: Final = "standard sentences"
Lines = Mapping[str, list[str]]


def _read() -> dict[str, dict[str, list[str]]]:
    text = (Path(__file__).parent / "templates.json").read_text(encoding="utf-8")
    found: dict[str, dict[str, list[str]]] = json.loads(text)
    return found


BUILT_IN: Final[Mapping[str, Lines]] = MappingProxyType(_read())


@statement_list
def _as_listed() -> Iterator[ListedStatement]:
    for system, lines in BUILT_IN.items():
        for key, sentences in lines.items():
            for place, words in enumerate(sentences, start=1):
                yield ListedStatement(
                    f"system.{system}.{key}.{place}",
                    # What is filled in, as everywhere in the list of texts.
                    words.replace("{", "(").replace("}", ")"),
                    f"Internal examination, {SYSTEMS[system].title.lower()}: "
                    f"{PARTS[key].title.lower()}",
                    COMMON_PRACTICE,
                )
