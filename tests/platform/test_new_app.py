"""A new app is named wherever an app has to be; where it is not, a sentence says what to do."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.platform.places import ROOT, Named, apps_in, lacking


@pytest.fixture(scope="module")
def named() -> Named:
    return Named()


@pytest.mark.parametrize("app", apps_in(ROOT))
def test_an_app_is_named_wherever_it_has_to_be(app: str, named: Named):
    wanting = list(lacking(app, ROOT, named))
    assert not wanting, "\n".join(wanting)


@pytest.fixture
def inquests(tmp_path: Path) -> Path:
    """An app that nobody has named yet."""
    folder = tmp_path / "cases" / "inquests"
    folder.mkdir(parents=True)
    for module in ("models", "rules", "juror_rules", "urls", "api_urls", "steps"):
        (folder / f"{module}.py").touch()
    (folder / "apps.py").write_text("class InquestsConfig: name = 'cases.inquests'")
    return tmp_path


IN_ORDER = [
    "name cases.inquests in INSTALLED_APPS (me_office/settings.py)",
    'add include("cases.inquests.urls") to me_office/urls.py',
    'add include("cases.inquests.api_urls") to me_office/urls.py',
    "import cases.inquests.steps in ready() of cases.inquests.apps",
    'name cases.inquests in containers of the contract "inside-an-app" (pyproject.toml)',
    'give inquests its layer in the contract "case-file"',
    'name cases.inquests in forbidden_modules of the contract "evidence-and-findings"',
    'name cases.inquests.juror_rules in source_modules of the contract "pure-rules"',
    "say in one line of DEVELOPERS.md, Layout, what cases.inquests is for",
]


def test_every_place_in_which_a_new_app_is_missing_is_told(inquests: Path, named: Named):
    assert apps_in(inquests) == ["cases.inquests"]
    assert list(lacking("cases.inquests", inquests, named)) == IN_ORDER


def test_a_new_app_that_is_named_everywhere_lacks_nothing(inquests: Path, named: Named):
    (inquests / "cases/inquests/apps.py").write_text("from cases.inquests import steps")
    project = (
        named.project.replace('"**.rules",', '"**.rules", "cases.inquests.juror_rules",', 1)
        .replace('"cases.court",', '"cases.court", "cases.inquests",')
        .replace('  "court",\n', '  "court",\n  "inquests",\n')
    )
    whole = replace(
        named,
        installed=(*named.installed, "cases.inquests"),
        urls=named.urls + 'include("cases.inquests.urls") include("cases.inquests.api_urls")',
        project=project,
        guide=named.guide + "\n      inquests/  juries\n",
    )
    assert list(lacking("cases.inquests", inquests, whole)) == []


def test_a_room_that_the_image_would_not_hold_is_told(tmp_path: Path, named: Named):
    (tmp_path / "apps.py").touch()
    (tmp_path / "findings").mkdir()
    (tmp_path / "findings" / "apps.py").touch()
    bare = replace(named, image=named.image.replace("COPY findings findings", ""))
    assert list(lacking("findings", tmp_path, bare)) == [
        "copy findings in the Dockerfile, and let it in by .dockerignore"
    ]


def test_types_are_read_strictly_everywhere_but_where_a_library_or_an_array_has_none(named: Named):
    mypy = named.tools["mypy"]
    assert mypy["strict"] is True
    laxer = {name: set(one) - {"module"} for one in mypy["overrides"] for name in one["module"]}
    assert laxer == LAXER


UNTYPED = frozenset({"disallow_untyped_calls", "disallow_untyped_decorators"})
BASES = frozenset({"disallow_subclassing_any"})
LAXER = {
    "*.tasks": UNTYPED,
    "*.tile_tasks": UNTYPED,
    "me_office.settings": UNTYPED,
    "me_office.accounts.adapter": BASES,
    "me_office.accounts.backends": BASES,
    "me_office.accounts.code_forms": BASES,
    "me_office.serve": BASES,
    "me_office.logs.web": BASES,
    "me_office.demo.*": {"disable_error_code"},
}
