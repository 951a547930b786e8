"""Every piece of the anthology comes back from its own editions as it was typed, but for what stands in a table here.

Outside of the project: the editions are valid MEI 5.1 and MusicXML 4.0 (shown elsewhere), so what is read back is what
the standards carry.
"""

from __future__ import annotations

import pytest

from pipeline.edition.leading import check_piece
from pipeline.model.diagnostics import Severity
from pipeline.model.signs import Signs
from pipeline.model.tablature import NoteKind
from pipeline.model.text import SourceText
from pipeline.source.encoding import write_encoding
from pipeline.source.exchange import take
from tests.source.exchange.anthology import FORMS, back, cases, edition, taken, typed
from tests.source.exchange.likeness import differing, heading_of, read

FREE = "without a metre no bar is longer than another, so none is marked as free"
PIN = "how the editor hears a line is said in the staves, not in the tablature"
SENTENCE = "what the source has stands in a sentence only: the standard has no element for it"
OF_WHICH = "a line over several figures does not say which of them is held"
AGAIN = "what is played once more has no sign of its own; the words over it do"
BARRE = "a barre is not written"
LINE = "where the editor has a line begin is of the page only"

#: Form → piece → bars and facets that differ, and why. Bars are counted as typed; one behind the last is the end.
EXCEPTIONS: dict[str, dict[str, dict[tuple[int, str], str]]] = {
    "mei": {
        "historical/01-fleury": {(1, "kind"): FREE},
        "historical/02-toccata-arpeggiata": {(1, "kind"): FREE, (2, "kind"): FREE},
        "historical/03-melii": {(1, "kind"): FREE},
        "historical/04-first-notes": {(1, "kind"): FREE},
        "historical/05-tablature-chapter": {(1, "kind"): FREE},
        "lute/04-allemande": {(5, "stops"): "what the source has is not said to be doubtful"},
        "songs/06-aria": {(21, "notes"): AGAIN, (22, "before"): AGAIN},
        "songs/12-air": {(5, "words"): "what the source has of a syllable stands in a note"},
        "songs/13-dialogo": {(9, "before"): LINE},
        "theorbo/01-toccata": {
            (15, "notes"): PIN,
            (16, "stops"): "figures after one another under one sign are set apart, not written apart",
            (19, "marks"): "a mark that cannot be read stands in a note",
            (33, "marks"): BARRE,
        },
        "theorbo/02-ground": {(15, "marks"): BARRE, (22, "before"): "a key is a signature, and has no tonic"},
        "theorbo/03-prelude": {
            (2, "stops"): "where a held line passes an event before its end, only the end is written",
            (3, "before"): "a page that begins inside a bar stands before it",
        },
        "theorbo/07-bergamasca": {
            (11, "before"): "the note on bars that are lost stands in the bar after them",
            (11, "notes"): "two lost signs with one reason have it twice; the note on the lost bars is here",
            (14, "notes"): AGAIN,
            (15, "before"): AGAIN,
        },
        "theorbo/09-canzonetta": {(12, "notes"): PIN},
    },
    "musicxml": {
        "historical/01-fleury": {(1, "kind"): FREE},
        "historical/02-toccata-arpeggiata": {(1, "kind"): FREE, (2, "kind"): FREE},
        "historical/03-melii": {(1, "kind"): FREE},
        "historical/04-first-notes": {(1, "kind"): FREE},
        "historical/05-tablature-chapter": {(1, "kind"): FREE},
        "lute/04-allemande": {(5, "stops"): SENTENCE, (7, "stops"): OF_WHICH, (8, "stops"): SENTENCE},
        "lute/11-ricercar": {
            (2, "signs"): "two signs over one event are one value",
            (2, "marks"): "a printed star is an ornament like any other",
            (3, "signs"): SENTENCE,
            (3, "stops"): SENTENCE,
            (3, "marks"): SENTENCE,
            (3, "variants"): SENTENCE,
        },
        "songs/06-aria": {(12, "sung"): SENTENCE, (22, "before"): AGAIN},
        "songs/12-air": {(5, "words"): SENTENCE},
        "songs/13-dialogo": {(9, "before"): LINE},
        "theorbo/01-toccata": {
            (3, "signs"): SENTENCE,
            (5, "signs"): SENTENCE,
            (6, "stops"): SENTENCE,
            (7, "variants"): SENTENCE,
            (8, "marks"): SENTENCE,
            (9, "stops"): SENTENCE,
            (13, "stops"): OF_WHICH,
            (16, "stops"): "figures after one another under one sign are struck together",
            (17, "lines"): SENTENCE,
            (18, "stops"): SENTENCE,
            (19, "stops"): SENTENCE,
            (19, "marks"): SENTENCE,
            (20, "variants"): SENTENCE,
            (22, "stops"): SENTENCE,
            (31, "stops"): OF_WHICH,
            (31, "marks"): SENTENCE,
        },
        "theorbo/02-ground": {
            (15, "marks"): "a barre is one of the event",
            (22, "before"): "a key is a signature, and has no tonic",
        },
        "theorbo/03-prelude": {
            (2, "stops"): OF_WHICH,
            (2, "marks"): OF_WHICH,
            (3, "before"): "a page that begins inside a bar stands before it",
            (3, "stops"): OF_WHICH,
            (3, "marks"): OF_WHICH,
        },
        "theorbo/07-bergamasca": {
            (6, "signs"): SENTENCE,
            (11, "before"): "the note on bars that are lost stands in the bar after them",
            (11, "signs"): SENTENCE,
            (11, "stops"): SENTENCE,
            (15, "before"): AGAIN,
        },
    },
}
#: Every note stands in MusicXML as the page has it, with its place before it and its author behind it.
WHOLE_SENTENCES = {"musicxml": {"notes"}, "mei": set[str]()}
#: So many bars of all come back equal in every facet, but for notes that are whole sentences.
EQUAL = {"mei": 191, "musicxml": 178}
#: Heading lines that an edition does not carry, or carries otherwise, and why.
UNSAID = {
    "mei": {
        "key": "a signature has no tonic",
        "pitch": "of the page only",
        "strings": "of the retuning sheet only",
        "remark": "of the page only",
        "arpeggio": "how chords are spread is read, not printed",
        "voices": "a reading",
        "severity": "of the checks only",
        "facsimile": "images are of the proof page only",
        "stopped": "the tuning does not say what lies over the fingerboard",
        "frets": "the tuning does not say how many frets are tied",
        "course": "a preset that differs in a bass has it in its line of diapasons",
        "stems": "the usual one need not be said",
        "lines": "written where it is not the usual one",
        "mark": "where a mark stands beside its figure is not said",
        "instrument": "named by its tuning",
        "systems": "of the proof page only",
        "layer": "the clef of the source stands in the incipit, where there is one",
        "canvas": "of those of a folder those on which the piece stands",
        **dict.fromkeys(
            ("book", "subtitle", "part", "introduction", "method", "imprint"), "of the book, not the piece"
        ),
    },
}
UNSAID["musicxml"] = {key: why for key, why in UNSAID["mei"].items() if key not in ("pitch", "remark")} | {
    "layer": "the clef of the source stands in MEI only",
    **dict.fromkeys(("edition", "licence", "canvas"), "in the MEI only"),
}


def _differences(name: str, form: str) -> set[tuple[int, str]]:
    whole = WHOLE_SENTENCES[form]
    return {(bar, facet) for bar, facet, _, _ in differing(*taken(name, form)) if facet not in whole}


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("name", cases())
def test_an_edition_gives_back_what_was_typed(name: str, form: str) -> None:
    assert _differences(name, form) == set(EXCEPTIONS[form].get(name, {}))


@pytest.mark.parametrize("form", FORMS)
def test_nearly_all_bars_come_back_whole(form: str) -> None:
    unequal = {name: {bar for bar, _ in _differences(name, form)} for name in cases()}
    bars = {name: len(typed(name).bars) for name in cases()}
    assert sum(bars.values()) == 212
    assert sum(bars[name] - len({bar for bar in unequal[name] if bar <= bars[name]}) for name in cases()) == EQUAL[form]


@pytest.mark.parametrize("name", cases())
def test_reasons_come_back_within_their_sentences(name: str) -> None:
    ours, theirs = taken(name, "musicxml")
    said = [note.text for bar in theirs.bars for note in bar.notes]
    for bar in ours.bars:
        for note in bar.notes:
            if note.kind is NoteKind.REASON and not bar.layers:
                assert any(note.text in each for each in said), note.text


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("name", cases())
def test_the_heading_comes_back(name: str, form: str) -> None:
    ours, theirs = (heading_of(piece) for piece in taken(name, form))
    usual = {("values", ""): "1:1"}
    lost = {place[0] for place, said in ours.items() if theirs.get(place) != said and usual.get(place) != said}
    assert lost <= set(UNSAID[form])


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("name", cases())
def test_what_comes_back_is_canonical_and_has_no_errors(name: str, form: str) -> None:
    text = back(name, form).text
    assert write_encoding(read(text)) == text
    source = SourceText.of("piece.intav", text)
    assert [one for one in check_piece(source) if one.severity is Severity.ERROR] == []


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("name", cases())
def test_no_pitch_of_an_edition_contradicts_its_tuning(name: str, form: str) -> None:
    assert [one.message for one in back(name, form).diagnostics if one.code.slug == "pitch-against-tuning"] == []


def test_a_wrong_note_on_the_staves_is_found_and_nothing_else() -> None:
    name = "lute/08-romanesca"
    data = edition(name)["mei"]
    right = b'<note xml:id="n-b2e1c4" pname="a"'
    assert data.count(right) == 1
    taken_ = take("a.mei", data.replace(right, right.replace(b'"a"', b'"b"')))
    (found,) = [one for one in taken_.diagnostics if one.code.slug == "pitch-against-tuning"]
    assert found.message.startswith("Measure 2, n-b2e1c4: the staves have B")
    assert [other.message for other in found.related] == ["the tuning is told here"]


def test_signs_of_both_systems_come_back() -> None:
    systems = {read(back(name, "mei").text).signs for name in cases()}
    assert systems == {Signs.ITALIAN, Signs.FRENCH}
