"""Reports that are further on, made once for each file of tests."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest

from cases.models import Case
from cases.review.models import ReportDraft
from me_office.accounts.models import Staff


@pytest.fixture(scope="module")
def people_once(made_once: Callable[..., Any]) -> tuple[Staff, Staff]:
    """Who writes and who signs off, the same in every case that is made once for the file."""
    from tests.review.test_review import make_people

    return made_once(make_people)


@pytest.fixture(scope="module")
def _ready_once(made_once: Callable[..., Any], people_once: Any) -> tuple[Case, Staff, Staff]:
    from tests.review.test_review import make_ready

    return made_once(lambda: make_ready(people_once))


@pytest.fixture
def ready(db: None, _ready_once: Any) -> tuple[Case, Staff, Staff]:
    """A case whose report may be sent: (case, pathologist, supervisor)."""
    return deepcopy(_ready_once)


@pytest.fixture(scope="module")
def _sent_once(
    made_once: Callable[..., Any], people_once: Any
) -> tuple[Case, Staff, Staff, ReportDraft]:
    from tests.review.test_review import make_ready, sent

    def build() -> tuple[Case, Staff, Staff, ReportDraft]:
        case, vasko, thorne = make_ready(people_once)
        return case, vasko, thorne, sent(case, vasko)

    return made_once(build)


@pytest.fixture
def sent_once(db: None, _sent_once: Any) -> tuple[Case, Staff, Staff, ReportDraft]:
    """A case whose report was sent: (case, pathologist, supervisor, draft)."""
    return deepcopy(_sent_once)


@pytest.fixture(scope="module")
def _signed_once(made_once: Callable[..., Any], people_once: Any) -> tuple[Case, Staff, Staff]:
    from tests.review.test_review import make_ready, signed

    def build() -> tuple[Case, Staff, Staff]:
        case, vasko, thorne = make_ready(people_once)
        signed(case, vasko, thorne)
        return case, vasko, thorne

    return made_once(build)


@pytest.fixture
def signed_once(db: None, _signed_once: Any) -> tuple[Case, Staff, Staff]:
    """A case that is signed: (case, pathologist, supervisor)."""
    return deepcopy(_signed_once)
