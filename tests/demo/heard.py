"""What a page says to who does not see it: names, labels, headings, ids, its title."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from html.parser import HTMLParser
from urllib.parse import urljoin

_VOID = {
    *("area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source"),
    *("track", "wbr"),
}
_POINTS = (
    *("aria-labelledby", "aria-describedby", "aria-controls", "aria-owns", "aria-details"),
    *("aria-activedescendant", "aria-errormessage", "for", "list", "headers"),
)
_NEW_EACH_TIME = {"request_key", "csrfmiddlewaretoken"}
_NOT_TYPED = {"hidden", "submit", "button", "reset", "image"}
_SILENT = {"script", "style", "template", "option", "select", "textarea", "noscript", "datalist"}


@dataclass(eq=False)
class Element:
    """One element of a page, with what lies in it."""

    tag: str
    said: dict[str, str]
    around: Element | None
    inside: list[Element | str] = field(default_factory=list)

    def all(self) -> Iterator[Element]:
        """Yield it and every element in it, in the page's order."""
        waiting: list[Element | str] = [self]
        while waiting:
            if isinstance(one := waiting.pop(), Element):
                yield one
                waiting.extend(reversed(one.inside))

    def outwards(self) -> Iterator[Element]:
        """Yield it and what it lies in, up to the page."""
        one: Element | None = self
        while one is not None:
            yield one
            one = one.around

    @cached_property
    def put_away(self) -> bool:
        """Whether it, or what it lies in, is hidden."""
        return "hidden" in self.said or (self.around is not None and self.around.put_away)

    @cached_property
    def text(self) -> str:
        """Its words as they are read aloud."""
        if self.tag in _SILENT or self.said.get("aria-hidden") == "true" or "hidden" in self.said:
            return ""
        if self.tag == "img":
            return f" {self.said.get('alt', '')} "
        if "aria-label" in self.said:
            return f" {self.said['aria-label']} "
        return "".join(one if isinstance(one, str) else one.text for one in self.inside)


class _Parser(HTMLParser):
    """Makes a tree of a page's elements."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.root = self._open = Element("page", {}, None)
        self.feed(words)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        one = Element(tag, {name: value or "" for name, value in attrs}, self._open)
        self._open.inside.append(one)
        if tag not in _VOID:
            self._open = one

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in _VOID:  # as in a drawing
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        for one in self._open.outwards():
            if one.tag == tag:
                assert one.around is not None
                self._open = one.around
                return

    def handle_data(self, data: str) -> None:
        self._open.inside.append(data)


def parsed(words: str) -> Element:
    """Return the root of what is written."""
    return _Parser(words).root


class Page:
    """The elements of one page, and what is wrong with how they are told."""

    def __init__(self, address: str, said: str | Element) -> None:
        self.address = address
        root = said if isinstance(said, Element) else parsed(said)
        self.elements = list(root.all())
        self.labels: dict[str, list[str]] = defaultdict(list)
        for label in self.of("label"):
            if "for" in label.said:
                self.labels[label.said["for"]].append(label.text)
        self.by_id = {one.said["id"]: one for one in self.elements if "id" in one.said}

    def of(self, *tags: str) -> list[Element]:
        """Return the elements with one of these names."""
        return [one for one in self.elements if one.tag in tags]

    @property
    def title(self) -> str:
        """Return the words of the browser's tab."""
        return _plain("".join(one.text for one in self.of("title")[:1]))

    def name(self, one: Element) -> str:
        """Return what a control or a group is called."""
        named = [self.by_id[key] for key in one.said.get("aria-labelledby", "").split()
                 if key in self.by_id]  # fmt: skip
        if named:
            return _plain(" ".join(each.text for each in named))
        for label in one.said.get("aria-label", ""), *self._labels(one):
            if _plain(label):
                return _plain(label)
        if one.tag == "input":
            return _plain(one.said.get("value") or one.said.get("title", ""))
        return _plain(one.text) or _plain(one.said.get("title", ""))

    def _labels(self, one: Element) -> list[str]:
        if one.tag not in {"input", "select", "textarea"}:
            return []
        named = self.labels.get(one.said.get("id", ""))
        return named or [each.text for each in one.outwards() if each.tag == "label"]

    def wrong(self) -> Iterator[str]:
        """Yield each thing that a person who hears the page would stumble over."""
        ids = Counter(one.said["id"] for one in self.elements if "id" in one.said)
        yield from (f"two with the id {key}" for key, number in ids.items() if number > 1)
        yield from self._pointing_nowhere()
        yield from self._without_a_name()
        yield from self._same_name()
        yield from self._headings()

    def _pointing_nowhere(self) -> Iterator[str]:
        for one in self.elements:
            if one.said.get("type") == "hidden":
                continue
            for name in _POINTS:
                for key in one.said.get(name, "").split():
                    if key not in self.by_id:
                        yield f"{name}={key} of a {one.tag} is not on the page"
            goes = one.said.get("href", "")
            if one.tag == "a" and goes.startswith("#") and goes[1:] not in self.by_id:
                yield f"a link to {goes}, which is not on the page"

    def _without_a_name(self) -> Iterator[str]:
        for one in self.of("input", "select", "textarea"):
            if one.said.get("type") in _NOT_TYPED or "hidden" in one.said:
                continue
            label = one.said.get("aria-label") or one.said.get("aria-labelledby")
            if not label and not any(_plain(words) for words in self._labels(one)):
                yield f"no label: {one.tag} {one.said.get('name') or one.said}"
        for one in self.of("nav", "iframe", "progress", "meter"):
            if not {"aria-label", "aria-labelledby", "title"} & set(one.said):
                yield f"no name: {one.tag} {one.said}"
        for one in self._controls():
            if not self.name(one):
                yield f"no name: {one.tag} {one.said}"
        for one in self.of("img"):
            if "alt" not in one.said:
                yield f"no words for the picture {one.said.get('src')}"
        for one in self.of("fieldset"):
            first = next((each for each in one.inside if isinstance(each, Element)), None)
            named = {"aria-label", "aria-labelledby"} & set(one.said)
            if not named and (first is None or first.tag != "legend" or not _plain(first.text)):
                yield f"a group without a name: {_plain(one.text)[:60]}"
        for one in self.of("th"):
            if one.said.get("scope") not in {"col", "row", "colgroup", "rowgroup"}:
                yield f"a head without scope: {_plain(one.text)[:60]!r}"
            elif not _plain(one.text):
                yield f"a head without words beside {_plain(one.around.text)[:60]!r}"  # type: ignore[union-attr]

    def _controls(self) -> Iterator[Element]:
        """Yield what can be pressed, a cover of a picture too."""
        for one in self.of("a", "button", "summary"):
            if not one.put_away and (one.tag != "a" or "href" in one.said):
                yield one

    def _does(self, one: Element) -> str:
        """Tell what a control does, so that two that do the same are one."""
        if one.tag == "a":
            return urljoin(self.address, one.said.get("href", ""))
        if one.tag == "summary" and one.around is not None:
            pictures = [each.said.get("src") for each in one.around.all() if each.tag == "img"]
            around = {
                name for each in one.outwards() for name in each.said.get("class", "").split()
            }
            if "history" in around:  # tells what was done: twice, where it was done twice
                return "opens a line of the history"
            return f"shows {pictures[0]}" if pictures else f"opens {id(one)}"
        form = next((each for each in one.outwards() if each.tag == "form"), None)
        if "form" in one.said:
            form = self.by_id.get(one.said["form"])
        if one.said.get("type", "submit") != "submit" or form is None:
            return f"a thing of its own: {id(one)}"
        goes = one.said.get("formaction") or form.said.get("action", "")
        sent = [
            (each.said.get("name"), each.said.get("value"))
            for each in form.all()
            if each.said.get("type") == "hidden" and each.said.get("name") not in _NEW_EACH_TIME
        ]
        return (
            f"{urljoin(self.address, goes)} {sent} {one.said.get('name')}={one.said.get('value')}"
        )

    def _same_name(self) -> Iterator[str]:
        does = defaultdict(set)
        for one in self._controls():
            does[self.name(one).lower()].add(self._does(one))
        for name, ways in does.items():
            if name and len(ways) > 1:
                yield f"{len(ways)} different things are called {name!r}: {sorted(ways)}"

    def _headings(self) -> Iterator[str]:
        found = [
            (int(one.tag[1]), _plain(one.text))
            for one in self.of("h1", "h2", "h3", "h4")
            if not one.put_away
        ]
        if [level for level, _ in found].count(1) != 1:
            yield f"not one h1: {[words for level, words in found if level == 1]}"
        before = 0
        for level, words in found:
            if level > before + 1:
                yield f"h{level} {words!r} after h{before}"
            if not words:
                yield f"h{level} without words"
            before = level


def _plain(words: str) -> str:
    return re.sub(r"\s+", " ", words).strip()


def same_titles(pages: Iterable[Page]) -> list[str]:
    """Return the titles that stand on pages of different addresses."""
    there: dict[str, set[str]] = defaultdict(set)
    for page in pages:
        there[page.title].add(page.address.partition("#")[0])
    return [f"{title!r}: {sorted(all_)}" for title, all_ in there.items() if len(all_) > 1]
