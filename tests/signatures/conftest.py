"""An office whose pathologists have certificates."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest

from cases.models import Case
from tests.packets.builders import signed_case
from tests.signatures.builders import certified


@pytest.fixture(scope="module")
def _signed_once(made_once: Callable[..., Any]) -> Case:
    def make() -> Case:
        case = signed_case()
        certified(case)
        return case

    return made_once(make)


@pytest.fixture
def signed(db: None, _signed_once: Case) -> Case:
    """A signed case whose author and reviewer have certificates; its PDF is still to be made."""
    return deepcopy(_signed_once)
