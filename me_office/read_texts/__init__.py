"""Texts about medicine or law that stand in modules, templates and documents, as they were read.

Cautions are registered where they are said (`me_office.statements.statement`). Everything else
that says something of medicine or law stands in the JSON files of this folder, by place and
source, as it stands in the code, with "…" for what is filled in. `neither.json` holds what was read
and says nothing of either. tests/shell/test_read_texts.py compares both ways: a text that is new or
changed has to be read before it is listed, and one that is gone leaves the list.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from django.apps import apps

from me_office.statements import COMMON_PRACTICE, Statement, statement_list

FOLDER = Path(__file__).parent
OUR_APPS = ("cases", "evidence", "findings")
THOSE_OF_THE_METHOD = "sources of the method"
CERTIFICATE = "US Standard Certificate of Death, 2003 revision"
# Where the offered answers are not of common practice alone.
_ANSWERS_FROM: Mapping[str, str] = {
    "cases.decedent.hispanic_origin": f"{CERTIFICATE}, item 52",
    "cases.decedent.race": f"{CERTIFICATE}, item 53",
    "certification.certification.manner": f"{CERTIFICATE}, item 37",
    "certification.certification.death_place_kind": f"{CERTIFICATE}, item 14",
    "certification.certification.autopsy": f"{CERTIFICATE}, item 33",
    "certification.certification.autopsy_available": f"{CERTIFICATE}, item 34",
    "certification.certification.tobacco": f"{CERTIFICATE}, item 35",
    "certification.certification.pregnancy": f"{CERTIFICATE}, item 36",
    "certification.certification.injury_at_work": f"{CERTIFICATE}, item 41",
    "certification.certification.transport_role": f"{CERTIFICATE}, item 44",
    "certification.certification.certifier_type": f"{CERTIFICATE}, item 45",
    "certification.particulars.inside_city": f"{CERTIFICATE}, item 7g",
    "certification.particulars.armed_forces": f"{CERTIFICATE}, item 8",
    "certification.particulars.marital_status": f"{CERTIFICATE}, item 9",
    "certification.particulars.education": f"{CERTIFICATE}, item 51",
    "remains.disposition.method": f"{CERTIFICATE}, item 18",
}
# What is offered of files, pictures and jobs says nothing of medicine or law.
_OF_THE_MACHINE = {
    "evidence.derivedimage",
    "fixity.fixityproblem",
    "intake.photographupload",
    "exhibits.redactionrequest",
    "measuring.copyrequest",
    "measuring.derivedcopy",
    "measuring.measurement",
    "packets.packet",
}


@cache
def _read(name: str) -> Any:
    return json.loads((FOLDER / name).read_text(encoding="utf-8"))


def of_methods() -> dict[str, dict[str, list[str]]]:
    """What single methods say beside their cautions: method, then source, then texts.

    `THOSE_OF_THE_METHOD` stands for the sources that the method names itself.
    """
    read: dict[str, dict[str, list[str]]] = _read("methods.json")
    return read


def neither() -> dict[str, list[str]]:
    """What was read and says nothing of medicine or law, by place."""
    read: dict[str, list[str]] = _read("neither.json")
    return read


@statement_list
def _as_read() -> Iterator[Statement]:
    for where, by_source in _read("texts.json").items():
        sourced = ((source, text) for source, texts in by_source.items() for text in texts)
        for number, (source, text) in enumerate(sourced, start=1):
            yield Statement(f"read.{where}.{number}", text, where, source)


def offered_answers() -> Iterator[tuple[str, str, list[str]]]:
    """Every field of the office's records that offers answers: its key, its name, the answers."""
    for model in apps.get_models():
        if (
            model.__module__.split(".")[0] not in OUR_APPS
            or model._meta.label_lower in _OF_THE_MACHINE
        ):
            continue
        for field in model._meta.local_concrete_fields:
            choices = getattr(field, "base_field", field).choices or ()
            if answers := [str(words) for value, words in choices if value != ""]:
                name = f"{model._meta.verbose_name}, {field.verbose_name}"
                yield str(field).lower(), name[:1].upper() + name[1:], answers


@statement_list
def _offered() -> Iterator[Statement]:
    for key, name, answers in offered_answers():
        source = _ANSWERS_FROM.get(key, COMMON_PRACTICE)
        text = f"{name}: {'; '.join(answers)}"
        yield Statement(f"answers.{key}", text, "Answers that are offered", source)
