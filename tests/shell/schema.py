"""The API's schema as it is kept with the code."""

from __future__ import annotations

from functools import cache
from typing import Any

import yaml

from tests.conftest import ROOT


@cache
def api_schema() -> Any:
    """Read it once a run: it is half a megabyte, which takes seconds where libyaml is not used."""
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return yaml.load((ROOT / "me_office" / "schema.yml").read_text(), loader)
