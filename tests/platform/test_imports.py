"""No module imports another in a circle, not even for its types."""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter

import grimp
import pytest

APPS = ("me_office", "cases", "findings", "evidence")


def test_no_module_imports_another_in_a_circle():
    graph = grimp.build_graph(*APPS, exclude_type_checking_imports=False, cache_dir=None)
    imported = {name: graph.find_modules_directly_imported_by(name) for name in graph.modules}
    assert len(imported) > 600
    try:
        TopologicalSorter(imported).prepare()
    except CycleError as circle:
        pytest.fail(" imports ".join(reversed(circle.args[1])))
