"""The measurement of ingest and of the store's check runs; the bench judges what it gives."""

from __future__ import annotations

import pytest

from evidence.fixity.models import FixityProblem
from evidence.photographs.models import Photograph
from tests.evidence.speed import evidence_bench

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_measurement_takes_in_and_checks_every_file():
    found = evidence_bench(files=4, file_bytes=200_000, rounds=1)
    assert set(found) == {"ingest", "fixity"}
    assert all(value > 0 for value in found.values())
    assert Photograph.objects.count() == 4
    assert FixityProblem.objects.count() == 0
