"""A statement that nobody could read yet is told to the witness of the case."""

from __future__ import annotations

import pytest
from django.utils import timezone

from cases.statements.models import Statement
from cases.worklists import sections_for
from tests.appearances.builders import appear
from tests.builders import make_case
from tests.statements.builders import add_pdf, add_text, transcript_pdf

pytestmark = pytest.mark.django_db


def test_a_statement_that_was_not_read_is_told_for_the_date_in_court(vasko):
    case, other = make_case(), make_case()
    appear(vasko, case)

    def told():
        [section] = [one for one in sections_for(vasko) if one.key == "own-appearances"]
        [row] = section.rows(vasko, timezone.now())
        return [words for words, url in row.lacks if "statements" in url]

    add_text(vasko, case)
    add_pdf(vasko, other, transcript_pdf())
    assert told() == []
    added = add_pdf(vasko, case, transcript_pdf())
    assert told() == ["earlier statement not read"]
    Statement.objects.filter(pk=added.pk).update(state="made", pages_read=2, lines_printed=True)
    assert told() == []
