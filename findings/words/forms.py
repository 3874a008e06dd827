"""The form for a term of the office."""

from __future__ import annotations

from findings.words.models import OfficeTerm
from me_office.shell.forms import RecordForm


class OfficeTermForm(RecordForm):
    """A term and its class."""

    labels = {"klass": "Class", "term": "Term"}

    class Meta:
        model = OfficeTerm
        fields = ["klass", "term"]
        help_texts = {"term": "As the report will print it, in medical terms."}
