"""The texts of a book: Markdown (CommonMark) to blocks of words; what is not printed is a finding at its line."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from markdown_it import MarkdownIt
from markdown_it.token import Token

from pipeline.desk.volume.record import Block, BlockKind, Prose, Run
from pipeline.findings.codes.book import BOOK_TEXT
from pipeline.model.diagnostics import Diagnostic, Outcome
from pipeline.model.text import SourceText

_WHOLE = re.compile(r"(https?://|mailto:)\S+")
BULLET = "•"


def read_prose(source: SourceText, title: str) -> Outcome[Prose]:
    """The text in a file; ``title`` stands where it has no heading of the first level. Never raises."""
    reading = _Reading(source)
    tokens = MarkdownIt("commonmark").parse("\n".join(source.lines))
    blocks = list(reading.blocks(tokens))
    first = blocks[0] if blocks else None
    if first is not None and first.kind is BlockKind.HEADING and first.level == 1:
        title = first.text
        blocks = blocks[1:]
    return Outcome(Prose(title, tuple(blocks)), tuple(reading.found))


@dataclass(slots=True)
class _Reading:
    """Where the walk through a text stands: the lists that are open, each with its next marker, and quotations."""

    source: SourceText
    found: list[Diagnostic] = field(default_factory=list)
    _lists: list[int] = field(default_factory=list)
    _marker: str = ""
    _quotes: int = 0
    _heading: int = 0

    def blocks(self, tokens: Sequence[Token]) -> Iterator[Block]:
        for token in tokens:
            match token.type:
                case "heading_open":
                    self._heading = int(token.tag[1:])
                case "heading_close":
                    self._heading = 0
                case "bullet_list_open":
                    self._lists.append(0)
                case "ordered_list_open":
                    self._lists.append(int(token.attrGet("start") or 1))
                case "bullet_list_close" | "ordered_list_close":
                    self._lists.pop()
                case "list_item_open":
                    self._marker = self._next_marker()
                case "blockquote_open":
                    self._quotes += 1
                case "blockquote_close":
                    self._quotes -= 1
                case "hr":
                    yield Block(BlockKind.RULE)
                case "inline":
                    yield from self._inline(token)
                case "fence" | "code_block":
                    self._not_printed(token, "Code is printed as plain words.")
                    yield Block(self._kind(), (Run(token.content.strip()),), len(self._lists), self._taken_marker())
                case "html_block":
                    self._not_printed(token, "HTML is not printed.")
                case _:
                    pass

    def _inline(self, token: Token) -> Iterator[Block]:
        runs = tuple(self._runs(token))
        if self._heading:
            yield Block(BlockKind.HEADING, runs, self._heading)
        elif runs:
            yield Block(self._kind(), runs, len(self._lists), self._taken_marker())

    def _kind(self) -> BlockKind:
        if self._lists:
            return BlockKind.ITEM
        return BlockKind.QUOTE if self._quotes else BlockKind.PARAGRAPH

    def _next_marker(self) -> str:
        number = self._lists[-1]
        if not number:
            return BULLET
        self._lists[-1] += 1
        return f"{number}."

    def _taken_marker(self) -> str:
        """The marker of an item stands before its first block only."""
        marker, self._marker = self._marker, ""
        return marker

    def _runs(self, inline: Token) -> Iterator[Run]:
        bold = italic = 0
        href = ""
        passed = 0  # line ends inside the block so far
        for token in inline.children or ():
            match token.type:
                case "strong_open" | "strong_close":
                    bold += token.nesting
                case "em_open" | "em_close":
                    italic += token.nesting
                case "link_open":
                    href = self._address(inline, str(token.attrGet("href") or ""), passed)
                case "link_close":
                    href = ""
                case "text":
                    yield Run(token.content, bool(bold), bool(italic), href)
                case "softbreak":
                    passed += 1
                    yield Run(" ", bool(bold), bool(italic), href)
                case "hardbreak":
                    passed += 1
                    yield Run("\n", bool(bold), bool(italic), href)
                case "code_inline":
                    yield Run(token.content, bool(bold), bool(italic), href)
                    self._not_printed(inline, "Code is printed as plain words.", passed)
                case "image":
                    self._not_printed(inline, f"The image {token.attrGet('src')} is not printed.", passed)
                case "html_inline":
                    self._not_printed(inline, f"{token.content} is HTML, which is not printed.", passed)
                case _:
                    pass

    def _address(self, inline: Token, href: str, passed: int) -> str:
        if _WHOLE.match(href):
            return href
        self._not_printed(inline, f"The link to {href or 'nothing'} leads nowhere from a printed book.", passed)
        return ""

    def _not_printed(self, token: Token, message: str, below: int = 0) -> None:
        line = (token.map[0] if token.map else 0) + 1 + below
        line = min(line, len(self.source.lines))
        hint = "Headings, paragraphs, lists, quotations, *italic*, **bold** and links with a whole address are printed."
        self.found.append(Diagnostic(BOOK_TEXT, self.source.whole(line), message, hint))
