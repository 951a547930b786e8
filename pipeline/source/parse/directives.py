"""Lines between bars: sections, tempo words, changes of metre, endings, repeats in words, gaps."""

from __future__ import annotations

import re

from pipeline.findings.codes.syntax import DIRECTIVE
from pipeline.model.tablature import Directive, DirectiveKind, PageBreak
from pipeline.source.parse.lines import Line
from pipeline.source.parse.reader import Reader

DIRECTIVES = {kind.value: kind for kind in DirectiveKind}

#: What may follow each word: a pattern, what it is called, and examples.
_FORMS = {
    DirectiveKind.SECTION: (r".+", "a title", "section Ritornello"),
    DirectiveKind.TEMPO: (r".+", "a word", "tempo adagio"),
    DirectiveKind.METRE: (r"\S.*", "a metre", "metre 3/2, metre C, metre none"),
    DirectiveKind.KEY: (r"\S.*", "a key", "key D minor"),
    DirectiveKind.RETUNE: (r"\S.*", "a course and its pitch", "retune 8 = F2"),
    DirectiveKind.ENDING: (r"[1-9]|end", "the number of the ending, or end", "ending 1, ending 2, ending end"),
    DirectiveKind.OPENS: (
        r'(\|\||\|\|\.|\.\|\|\.)[!?]?("[a-z])*|!(\|\||\|\|\.|\.\|\|\.)("[a-z])*',
        "a double or repeat bar line",
        "opens ||.",
    ),
    DirectiveKind.AGAIN: (r".+", "start or the name of a section", "again start, again Ritornello"),
    DirectiveKind.GAP: (r"[1-9]\d{0,2} bars?(, .+)?", "how many bars are lost", "gap 3 bars, corner torn"),
    DirectiveKind.STANZA: (r"[1-9]\d? .+", "a number and the words", "stanza 4 Lieti prati"),
    DirectiveKind.LAYOUT: (
        r"(new|same) (system|page)",
        "new or same, and system or page",
        "layout new system, layout new page, layout same system, layout same page",
    ),
}
_COMPILED = {kind: re.compile(form[0]) for kind, form in _FORMS.items()}
_PAGE = re.compile(r"&[^\s&\"]*")


def read_directive(reader: Reader, line: Line) -> Directive | None:
    """directive = "section" title | "tempo" words | "metre" metre | "key" key | "retune" n "=" pitch
            | "ending" (n | "end") | "opens" barline | "again" ("start" | section)
            | "gap" n "bars" ["," reason] | "stanza" n words
            | "layout" ("new" | "same") ("system" | "page") ;

    None, with a finding, if what follows makes no sense. Metres, keys and pitches are read later.
    """
    kind = DIRECTIVES[line.first]
    text = line.rest_text()
    if _COMPILED[kind].fullmatch(text) is None:
        _, what, example = _FORMS[kind]
        found = f", not “{text}”" if text else ""
        message = f"Expected {what} after “{line.first}”{found}."
        reader.report(DIRECTIVE, line.rest_span(reader.file), message, f"For example: {example}")
        return None
    return Directive(kind, text, line.span(reader.file), line.rest_span(reader.file), (), line.comment)


def read_page(reader: Reader, line: Line) -> PageBreak | None:
    """page = "&" [folio] ;   on a line of its own"""
    first = line.words[0]
    if len(line.words) > 1 or _PAGE.fullmatch(first.text) is None:
        place = line.words[1].span(reader.file) if len(line.words) > 1 else first.span(reader.file)
        message = f"Expected the end of the line after “{first.text}”."
        if len(line.words) == 1:
            message = f"Expected a folio after “&”, not “{first.text[1:]}”."
        hint = "& and &4r stand alone before a bar, or inside its line after |, where they may have a label"
        reader.report(DIRECTIVE, place, message, hint)
        return None
    return PageBreak(first.text[1:], first.span(reader.file), line.comment)
