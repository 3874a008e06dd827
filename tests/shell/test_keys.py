"""Single-key shortcuts can be switched off (WCAG 2.2, 2.1.4): one module reads every key."""

from __future__ import annotations

import re

from tests.conftest import ROOT

KEYS = "me_office/shell/static/shell/js/keys.js"
# Hears that a key was pressed, and does not ask which.
ANY_KEY = "me_office/shell/static/shell/js/still.js"
LISTENS = re.compile(r"""["']key(?:down|up|press)["']|\bonkey""")
READS = re.compile(
    r"\b(?:event|press|pressed|e|evt)\.(?:key|code|keyCode|which|charCode)\b"
    r"|\{[^}]*\b(?:key|code|keyCode)\b[^}]*\}\s*=\s*(?:event|press|e)\b"
)


def test_only_one_module_reads_which_key_was_pressed():
    scripts = {
        str(path.relative_to(ROOT)): path.read_text()
        for top in ("cases", "findings", "evidence", "me_office")
        for path in (ROOT / top).rglob("static/**/*.js")
        if not path.name.endswith(".min.js")
    }
    assert READS.search(scripts[KEYS])
    listening = {name: script for name, script in scripts.items() if LISTENS.search(script)}
    assert len(listening) > 8
    assert [name for name, script in listening.items() if 'keys.js"' not in script] == [ANY_KEY]
    assert {name for name, script in scripts.items() if READS.search(script)} == {KEYS}


def test_what_reads_a_key_is_noticed():
    for line in ('if (event.key === "n") go(1);', "const { key } = event;", "e.keyCode == 78"):
        assert READS.search(line), line
    assert not READS.search("this.key(square); row.key; answer.body?.code; pressed(event)")
