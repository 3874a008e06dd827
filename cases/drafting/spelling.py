"""Words of a text that no dictionary knows: American English, the trade's terms, the office's own.

The dictionary comes with its library and is read on this machine alone. Quiet on purpose: names,
abbreviations, what stands between quotation marks and what holds a figure are passed over, and a
word that is made of a known word and a prefix of the trade is known. No database.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import spylls.hunspell
from spylls.hunspell.readers import read_aff, read_dic
from spylls.hunspell.readers.file_reader import BaseReader

from findings.words import vocabulary
from me_office.statements import COMMON_PRACTICE, Statement, statement

FOLDER = Path(__file__).parent
WHERE = "Report"

UNKNOWN = statement(
    "spelling.unknown",
    "“{word}” is in no word list of this office.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
SUGGESTED = statement(
    "spelling.suggested",
    "“{word}” is in no word list of this office. It may be meant as “{better}”.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
BRITISH = statement(
    "spelling.british",
    "“{word}” is a British spelling: “{better}” in American English.",
    where=WHERE,
    source=COMMON_PRACTICE,
)

_QUOTED = re.compile(r"“[^”]{0,2000}”|\"[^\"]*\"")
_WORD = re.compile(r"(?<![\w@./-])[^\W\d_]+(?:[’'][^\W\d_]+)*(?![\w@]|\.\w)")
_ENDS = re.compile(r"(?:^|(?<!\bDr)(?<!\bMr)(?<!\bMs)(?<!\bMrs)(?<!\bSt)[.!?:;]|\n)[\s(“\"\[]*$")
_POSSESSIVE = re.compile(r"[’']s?$")
# A shorter word is asked about, too, but is not what is left of a word without its prefix.
_SHORTEST, _SHORTEST_REST = 3, 4
# No word of the trade is longer; what is, was pasted, and its neighbors are too many to look up.
_LONGEST = 45
# Of so many words of a passage is said how they may be meant; where more are unknown, it is in
# another language or no text, and each look takes a fiftieth of a second.
_MOST_SUGGESTED = 25
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True, slots=True)
class Misspelled:
    """A word that is asked about, and how it may be meant."""

    word: str
    better: str
    rule: Statement

    @property
    def text(self) -> str:
        """The question in a sentence."""
        return self.rule.text.format(word=self.word, better=self.better)


class _Lines(BaseReader):  # type: ignore[misc]
    """A file of the dictionary, read at once: the library's own reader leaves it open."""

    def __init__(self, path: Path, encoding: str = "Windows-1252") -> None:
        self.path = path
        super().__init__(self._read(encoding))

    def reset_encoding(self, encoding: str) -> None:
        """Go on reading in the encoding that the file names."""
        self.reset_io(self._read(encoding))

    def _read(self, encoding: str) -> io.StringIO:
        return io.StringIO(self.path.read_text(encoding=encoding, errors="surrogateescape"))


@cache
def _dictionary() -> Any:
    folder = Path(spylls.hunspell.__file__).parent / "data" / "en"
    rules, context = read_aff(_Lines(folder / "en_US.aff"))
    words = _Lines(folder / "en_US.dic", encoding=context.encoding)
    return spylls.hunspell.Dictionary(rules, read_dic(words, aff=rules, context=context))


@cache
def _read() -> dict[str, Any]:
    read: dict[str, Any] = json.loads((FOLDER / "spelling.json").read_text(encoding="utf-8"))
    return {
        **read,
        "prefixes": tuple(read["prefixes"].split()),
        "short": tuple(read["short"].split()),
    }


@cache
def trade_words() -> frozenset[str]:
    """The terms of the trade: the office's vocabulary and `trade_words.txt`, in small letters."""
    listed = (FOLDER / "trade_words.txt").read_text(encoding="utf-8").split()
    terms = " ".join(term for offered in vocabulary.TERMS.values() for term in offered)
    return frozenset(word.lower() for word in (*listed, *re.findall(r"[^\W\d_]+", terms)))


@lru_cache(maxsize=65_536)
def is_known(word: str) -> bool:
    """Tell whether a word is spelled as a dictionary or the trade spells it."""
    small = word.lower()
    if small in trade_words() or _dictionary().lookup(word) or _dictionary().lookup(small):
        return True
    if small.endswith("s") and small[:-1] in trade_words():
        return True
    for prefix in _read()["prefixes"]:
        rest = small.removeprefix(prefix)
        if rest != small and len(rest) >= _SHORTEST_REST and _is_plain(rest):
            return True
    return False


@lru_cache(maxsize=4096)
def american(word: str) -> str:
    """How a British spelling is written here; empty where the word is none."""
    words, parts = _read()["words"], _read()["parts"]
    small = word.lower()
    if small in words:
        return str(words[small])
    if is_known(word):
        return ""
    for part, better in parts:
        if part in small and is_known(small.replace(part, better)):
            return str(small.replace(part, better))
    both = small
    for part, better in parts:
        both = both.replace(part, better)
    return both if both != small and is_known(both) else ""


@lru_cache(maxsize=4096)
def suggestion(word: str) -> str:
    """How an unknown word may be meant: one letter changed, or the trade's word closest to it."""
    small = word.lower()
    swapped = [
        small[:at] + small[at + 1] + small[at] + small[at + 2 :] for at in range(len(small) - 1)
    ]
    doubled = [small[:at] + small[at] + small[at:] for at in range(len(small))]
    dropped = [small[:at] + small[at + 1 :] for at in range(1, len(small))]
    if len(small) == _SHORTEST:
        # Of the many words that lie near a short one, some are likelier than others.
        near = {*swapped, *doubled, *dropped, *_lengthened(small)}
        swapped = [one for one in _read()["short"] if one in near] + swapped
    for one in (*swapped, *doubled, *dropped):
        if one != small and _is_plain(one):
            return one
    close = get_close_matches(small, sorted(trade_words()), n=1, cutoff=0.88)
    if close:
        return close[0]
    for at in range(1, len(small) + 1):
        for letter in _LETTERS:
            for one in (small[:at] + letter + small[at:], small[:at] + letter + small[at + 1 :]):
                if one != small and _is_plain(one):
                    return one
    return ""


def _lengthened(word: str) -> list[str]:
    return [word[:at] + letter + word[at:] for at in range(1, len(word) + 1) for letter in _LETTERS]


def _is_plain(word: str) -> bool:
    """Tell whether a word is known as it stands: no prefix makes a suggestion."""
    return word in trade_words() or bool(_dictionary().lookup(word))


def misspelled_in(passage: str, known: Collection[str] = frozenset()) -> list[Misspelled]:
    """Return what is asked of the spelling of a passage, each word once, in their order.

    `known` holds, in small letters, the names of the case and the words of the office.
    """
    own = _QUOTED.sub(lambda quoted: " " * len(quoted[0]), passage)
    asked: dict[str, Misspelled] = {}
    names: set[str] = set()
    for found in _WORD.finditer(own):
        word = _POSSESSIVE.sub("", found[0])
        if not _SHORTEST <= len(word) <= _LONGEST or word.lower() in known:
            continue
        if _is_a_name(word, own, found.start()):
            names.add(word)
            continue
        if word in asked:
            continue
        better = american(word)
        if better:
            asked[word] = Misspelled(word, _as_written(word, better), BRITISH)
        elif not is_known(word):
            better = suggestion(word) if len(asked) < _MOST_SUGGESTED else ""
            rule = SUGGESTED if better else UNKNOWN
            asked[word] = Misspelled(word, _as_written(word, better), rule)
    return [one for one in asked.values() if one.word not in names]


def _is_a_name(word: str, text: str, at: int) -> bool:
    """Tell whether a word is written as a name or abbreviation, and does not begin a sentence."""
    if not any(letter.isupper() for letter in word):
        return False
    return any(letter.isupper() for letter in word[1:]) or not _ENDS.search(text[:at][-40:])


def _as_written(word: str, better: str) -> str:
    return better[:1].upper() + better[1:] if word[:1].isupper() else better


def words_of_names(names: Iterable[str]) -> frozenset[str]:
    """The words of names, in small letters, as `misspelled_in` takes them."""
    return frozenset(
        _POSSESSIVE.sub("", word).lower() for name in names for word in _WORD.findall(name)
    )


def names_in(passages: Iterable[str]) -> frozenset[str]:
    """The words that stand as names anywhere in a report, in small letters.

    So a name that begins a sentence is known by the places where it stands within one.
    """
    return frozenset(
        _POSSESSIVE.sub("", found[0]).lower()
        for passage in passages
        for found in _WORD.finditer(passage)
        if _is_a_name(found[0], passage, found.start())
    )
