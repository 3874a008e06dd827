"""Wordings that made readers stop, with what is said instead.

A label says what the field holds, a button what happens, a message what is true and what to do.
"""

from __future__ import annotations

import re
from dataclasses import dataclass


@dataclass(frozen=True)
class OldWords:
    """A wording that is not said any more: its pattern, one example, and what is said instead.

    `only` and `but` are patterns of paths: where it is looked for, and where it may stand.
    """

    pattern: str
    example: str
    better: str
    only: str = ""
    but: str = "^$"

    def is_in(self, text: str, path: str) -> bool:
        """Tell whether a text of a file says it."""
        return (
            re.search(self.pattern, text) is not None
            and re.search(self.only, path) is not None
            and re.search(self.but, path) is None
        )


CHART = r"findings/.*_chart_work\.html"
# Descriptions that only the API says: of endpoints, and of columns whose forms say it otherwise.
API = r"api\.py$|/api/|cases/court/models\.py|cases/packets/models\.py"
# What a method's own list of sources and an endpoint's description say has its own form.
PROVENANCE = (
    r"findings/(?:calculations|computing|words|chart|organs|postmortem)/|me_office/statements\.py"
    r"|me_office/shell/templates/shell/statements\.html|cases/certification/|cases/rules/"
    r"|me_office/read_texts/|findings/words/plain_words\.json"
)

OLD_WORDS = [
    OldWords(r"\b[Ee]ach point\b(?! of | is | must )", "Each point", "Actual size"),
    OldWords(
        r"\b[Ll]ight (?:it|them|…) up\b|\b[Ll]it up\b",
        "Light it up on the body chart",
        "Show on the body chart",
    ),
    OldWords(r"\b[Hh]angs? on\b", "What hangs on this", "Linked to this", but=API),
    OldWords(r"\bTake in\b", "Take in 10 files", "Add 10 photographs"),
    OldWords(r"(?:\d|…) missing picture", "13 missing pictures", "13 pictures missing"),
    OldWords(
        r"[Ff]u?a?rthest and nearest",
        "Furthest and nearest side by side",
        "Widest and closest view side by side",
    ),
    OldWords(
        r"None is missing|beside what was set aside",
        "None is missing beside what was set aside.",
        "Nothing else is missing; some items were set aside.",
    ),
    OldWords(r"^(?:Nearer|Farther)$|\bnearer, farther\b", "Nearer", "Zoom in"),
    OldWords(r"Leave my point", "Leave my point", "Keep my point"),
    OldWords(
        r"by your keyboard",
        "so that this is done by you and not by your keyboard",
        "so that nobody else signs at your keyboard",
    ),
    OldWords(r"\b[Ww]ords to the file", "Words to the file", "Remark for the file"),
    OldWords(r"the place where I am", "Take the place where I am", "Use my location"),
    OldWords(
        r"stands here again|[Tt]hrow (?:it )?away",
        "stands here again. It is not saved yet. Throw it away",
        "has been restored and is not saved yet. Discard",
    ),
    OldWords(
        r"[Nn]ote (?:the body|its receipt)|receipt is noted",
        "Note the body's receipt",
        "Record receipt of the body",
    ),
    OldWords(r"the latest one counts", "the latest one counts", "the latest applies", but=API),
    OldWords(
        r"\breckons? ",
        "it reckons from what is entered",
        "it calculates from what is entered",
    ),
    OldWords(r"\b[Ff]rom memory\b", "from memory", "source not checked", but=PROVENANCE),
    OldWords(r"[Aa]s it reads now", "As it reads now", "Current text, or Signed text", but=API),
    OldWords(r"\bIt arose before death", "It arose before death", "It was sustained before death"),
    OldWords(r"^(?:Pattern|Pair|Whole)$", "Pair", "Entrance and exit", only=CHART),
    OldWords(
        r"confirm one by one",
        "Nothing unusual: confirm one by one",
        "Negative findings: confirm each",
    ),
    OldWords(
        r"Why not a full",
        "Why not a full autopsy",
        "Reason for this kind of examination",
    ),
    OldWords(
        r"in place of originals where they stand",
        "redacted copies in place of originals where they stand",
        "a redacted copy replaces its original",
    ),
    OldWords(r"readable by machines", "readable by machines (PDF/UA-1)", "accessible (PDF/UA-1)"),
    OldWords(
        r"to its end in the order",
        "They go to its end in the order of the log",
        "They are added at the end, in log order",
    ),
    OldWords(
        r"is for the court\b",
        "Which pictures a court may be shown is for the court to rule",
        "The court rules on which pictures may be shown",
    ),
    OldWords(
        r"^What came\b|^Who asks$|^Where the answer goes$|^Answer goes to$",
        "What came",
        "Type of request, Requesting party, Send the answer to",
        but=API,
    ),
    OldWords(r"the newest (?:stands )?first", "the newest stands first", "newest first", but=API),
    OldWords(r"Nobody has looked", "Nobody has looked earlier than this.", "No earlier views."),
    OldWords(
        r"do not go together",
        "The user name and the password do not go together.",
        "The user name or password is incorrect.",
    ),
    OldWords(
        r"not your password now",
        "This is not your password now.",
        "This is not your current password.",
    ),
    OldWords(r"\b[Nn]ot yours to\b", "Not yours to open", "You do not have access to this page"),
    OldWords(
        r"[Nn]o photograph rests on",
        "No photograph rests on it.",
        "No photograph uses this file.",
    ),
    OldWords(r"law of the place", "decided by the law of the place", "governed by local law"),
    OldWords(r"added a preview", "added a preview", "Preview made automatically"),
    # Of the same kind.
    OldWords(r"for its turn", "waits for its turn", "waiting in the queue"),
    OldWords(r"was broken off", "the one before was broken off", "the previous was interrupted"),
    OldWords(r"\b[Ss]tands now\b", "Stands now", "Saved version", but=API),
    OldWords(r"[Ww]hat waits for you", "To what waits for you", "Go to your work"),
    OldWords(r"[Kk]ept (?:\w+ )*for good", "Kept for good, in your name", "Kept permanently"),
    OldWords(
        r"has not come yet|lies? (?:ahead|in the future)",
        "This day lies ahead.",
        "This date is in the future.",
    ),
    OldWords(
        r"\bis like this\b|Choose (?:other|fewer) words above",
        "No case is like this",
        "No matching cases",
    ),
    OldWords(
        r"camera.s notes", "copies without the camera’s notes", "copies without metadata", but=API
    ),
    OldWords(r"\bthe own\b", "took the own second factor away", "removed their own second factor"),
    OldWords(r"(?<!\w)says something else", "says something else", "has different content"),
]
# Prose that nobody writes in this office: spellings of elsewhere.
# Of what is written in small letters: regardless of case, it would take three times as long.
BRITISH = re.compile(
    r"centre|metre\b|metres\b|labell(?:ed(?!by)|ing)|modell(?:ed|ing)|neighbour|behaviour|favour|honour"
    r"|humour|odour|vapour|tumour|rigour|labour\b|(?:normal|recogn|organ|summar|emphas|real"
    r"|serial|initial|minim|maxim|optim|final|author|character|standard|general|local)is(?:ed|es|ing)\b"
    r"|judgement|chequer|misspelt|\bspelt\b|haem(?:o|a)|oedema|paediatr|anaesth|foetus|oesoph"
    r"|\bfibre|\btyre|licence|\bpractis(?:e|ed|ing)\b|whilst|\btowards\b|\bafterwards\b|cancelled\b"
    r"|defence\b|offence\b|artefact|colours\b|coloured\b|recolour|\bgrey"
)
