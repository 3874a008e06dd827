"""What somebody types is kept until it is saved, or a line here says why not."""

from __future__ import annotations

import re

from tests.shell.test_every_form_has_a_key import ROOT, TEMPLATES

FORM = re.compile(r'<form\b(?:[^>]|%\})*?method="post"[^>]*>', re.DOTALL)
CHOSEN = "chosen in a touch or two, with nothing to type"
PICKED = "points of a picture, picked anew with the picture in sight"
NO_DRAFT = {
    "cases/answers/templates/answers/pick_up.html": "a secret, which no device keeps",
    "cases/decisions/templates/decisions/_range.html": CHOSEN,
    "cases/decisions/templates/decisions/demand.html": CHOSEN,
    "cases/calendars/templates/calendars/feeds.html": CHOSEN,
    "cases/exhibits/templates/exhibits/choose.html": CHOSEN,
    "cases/exhibits/templates/exhibits/numbers.html": CHOSEN,
    "cases/exhibits/templates/exhibits/set.html": CHOSEN,
    "cases/packets/templates/packets/_packet.html": CHOSEN,
    "cases/packets/templates/packets/packets.html": CHOSEN,
    "cases/redaction/templates/redaction/document.html": CHOSEN,
    "cases/redaction/templates/redaction/documents.html": CHOSEN,
    "evidence/intake/templates/intake/add_photographs.html": "files, whose list has a memory",
    "evidence/measuring/templates/measuring/_copies.html": CHOSEN,
    "evidence/measuring/templates/measuring/use.html": CHOSEN,
    "evidence/templates/evidence/_viewer.html": PICKED,
    "evidence/templates/evidence/photograph.html": CHOSEN,
    "findings/templates/findings/_system_part.html": CHOSEN,
    "findings/templates/findings/examination.html": CHOSEN,
    "me_office/shell/templates/shell/parts/_try_again.html": CHOSEN,
}


def test_a_form_is_kept_while_it_is_written_or_it_is_said_why_not() -> None:
    without = set()
    for path in TEMPLATES:
        for tag in FORM.findall(path.read_text()):
            if not re.search(r'data-widget="[^"]*\bdraft\b', tag):
                without.add(str(path.relative_to(ROOT)))
    assert without == set(NO_DRAFT)
