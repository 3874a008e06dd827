"""What a person entered, as actions and rules are given it: values by the names of fields."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeAlias

Entry: TypeAlias = Mapping[str, Any]
