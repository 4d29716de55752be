"""Reads a page back as a parser sees it: texts, tables, charts, script elements."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

VOID = {"meta", "link", "br", "circle", "rect", "path", "input"}


@dataclass
class Page(HTMLParser):
    """What stands in a page: every element by tag, with its attributes and all text inside it."""

    source: str
    elements: list[tuple[str, dict[str, str | None], str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self._open: list[tuple[str, dict[str, str | None], list[str]]] = []
        self.feed(self.source)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in VOID:
            self.elements.append((tag, dict(attrs), ""))
        else:
            self._open.append((tag, dict(attrs), []))

    def handle_endtag(self, tag: str) -> None:
        if tag in VOID:
            return
        name, attrs, texts = self._open.pop()
        assert name == tag, f"<{name}> closed by </{tag}>"
        text = "".join(texts)
        self.elements.append((tag, attrs, text.strip()))
        if self._open:
            self._open[-1][2].append(text)

    def handle_data(self, data: str) -> None:
        if self._open:
            self._open[-1][2].append(data)

    def of(self, tag: str) -> list[str]:
        """The texts of all elements of a tag, spaces plain."""
        return [t.replace("\xa0", " ") for name, _, t in self.elements if name == tag]

    def by_class(self, name: str) -> list[str]:
        """The texts of all elements of a class, spaces plain."""
        return [
            t.replace("\xa0", " ")
            for _, attrs, t in self.elements
            if name in (attrs.get("class") or "").split()
        ]

    def figures(self) -> list[dict[str, Any]]:
        """The chart data in the page, in order."""
        return [
            json.loads(text)
            for tag, attrs, text in self.elements
            if tag == "script" and (attrs.get("id") or "").startswith("figure-")
        ]
