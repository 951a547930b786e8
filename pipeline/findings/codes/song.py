"""Findings of songs: lines of notes and words beside the tablature, and the files that they are taken from."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

_MOVED = """\
longneck 1
title A song
instrument theorbo in A
metre C
layer v = Canto, clef C1

| 4=6:3,5:2,4:0,3:1 5:3,4:2,3:1 7,5:0,4:0,3:0 6:3,5:2,4:0,3:1
"""
_MOVED_ON = "| 4=5:3,4:2,3:1 5:2,4:0,3:0 7,5:0,4:0,3:0 6:3,5:2,4:0,3:1\n"
_FILE = """\
longneck 1
title A song
instrument theorbo in A
metre C
layer v = Canto, clef C1, from canto.musicxml

| 1=7,4:0,3:0 |||
"""

VALUE_MISSING = Code(
    "value-missing",
    Severity.ERROR,
    "a line of notes that begins without a value",
    "In a vocal or bass line a value holds until the next one, but every bar states it anew, so that a bar can be "
    "read, moved and corrected by itself. The value of the bar before is assumed.",
    "| 1=7,4:0,3:0\nv D5 C5",
    "| 1=7,4:0,3:0\nv 2=D5 C5",
)
OCTAVE_MISSING = Code(
    "octave-missing",
    Severity.ERROR,
    "a line of notes that begins without an octave",
    "In a vocal or bass line an octave figure holds until the next one, but every bar states it anew. C4 is "
    "middle C. The octave of the note before is assumed.",
    "| 1=7,4:0,3:0\nv 2=D C",
    "| 1=7,4:0,3:0\nv 2=D5 C",
)
NOTHING_TO_JOIN = Code(
    "nothing-to-join",
    Severity.WARNING,
    "a tie or slur that comes from nowhere",
    "The sign _ before a note joins it to the note just before, also over a bar line: to the same note as a tie, "
    "to another one as a slur. Here a rest comes before it, or nothing.",
    "| 1=7,4:0,3:0\nv 2=- _C5",
    "| 1=7,4:0,3:0\nv 2=C5 _C",
)
LINE_TOO_SHORT = Code(
    "line-too-short",
    Severity.ERROR,
    "a line that does not fill its bar",
    "Voice, bass and tablature of one bar last equally long. The values of this line add up to less than its "
    "tablature does. All other bars stay where they are: each line begins again at every bar line. A rest of a "
    "whole bar is typed - alone.",
    "| 1=7,4:0,3:0\nv 2=D5 4=C5",
    "| 1=7,4:0,3:0\nv 2=D5 4.=C5 8=B4",
)
LINE_TOO_LONG = Code(
    "line-too-long",
    Severity.ERROR,
    "a line that runs over its bar",
    "Voice, bass and tablature of one bar last equally long. The values of this line add up to more than its "
    "tablature does; the finding stands at the first note that does not fit.",
    "| 1=7,4:0,3:0\nv 2=D5 C5 B4",
    "| 1=7,4:0,3:0\nv 2=D5 4=C5 B4",
)
TOO_MANY_SYLLABLES = Code(
    "too-many-syllables",
    Severity.ERROR,
    "more syllables than notes",
    "Under each note of the bar stands one word: a syllable, _ where the one before is drawn out, or - for none. "
    "Rests take none. Two vowels sung on one note are one word, ti_a. A tied note is no new one: it takes _.",
    "| 1=7,4:0,3:0\nv 2=D5 C\n1 pian- ti a- ma-",
    "| 1=7,4:0,3:0\nv 2=D5 C\n1 pian- ti_a",
)
TOO_FEW_SYLLABLES = Code(
    "too-few-syllables",
    Severity.ERROR,
    "fewer syllables than notes",
    "Under each note of the bar stands one word: a syllable, _ where the one before is drawn out, or - for none. "
    "A tied note takes _ too. Rests take none. The words are put under the first notes.",
    "| 1=7,4:0,3:0\nv 2=D5 4=C B4\n1 pian- to",
    "| 1=7,4:0,3:0\nv 2=D5 4=C B4\n1 pian- _ to",
)
STANZA_DOES_NOT_FIT = Code(
    "stanza-does-not-fit",
    Severity.ERROR,
    "a stanza that does not fit",
    "A stanza stops in the middle of a word, though its line goes on without it, or its number is taken by "
    "another that stands under the notes. Stanzas may share a refrain: then they end with a whole word before it.",
    "| 1=7,4:0,3:0\nv 2=D5 C\n1 pian- ti\n2 ma- ri-\n| 1=7,4:0,3:0\nv 1=D5\n1 sì",
    "| 1=7,4:0,3:0\nv 2=D5 C\n1 pian- ti\n2 ma- ri-\n| 1=7,4:0,3:0\nv 1=D5\n1 sì\n2 ne",
)
WORD_UNCLEAR = Code(
    "word-unclear",
    Severity.WARNING,
    "a word that begins with a mark of exclamation",
    "Among words a mark of exclamation belongs to the word that it ends, or parts the edition's reading from the "
    "source's. At the beginning of a word it is neither: it is kept as typed. What the edition leaves out has a "
    "hyphen for the edition's reading: -!la.",
    "| 1=7,4:0,3:0\nv 2=D5 C\n1 la !la",
    "| 1=7,4:0,3:0\nv 2=D5 C\n1 la -!la",
)
CHORD_LETTERS = Code(
    "chord-letters",
    Severity.ERROR,
    "chord letters that do not fit their line",
    "A line of chord letters has one word for each event of the tablature, or for each note or rest of the line "
    "that it stands over: a letter, or - where none is printed. After the last letter nothing need be typed; but "
    "more letters than events have no place.",
    "| 2=7,4:0,3:0 8,4:2\nc A B C",
    "| 2=7,4:0,3:0 8,4:2\nc A B",
)
VOICE_PITCH_DIFFERS = Code(
    "voice-pitch-differs",
    Severity.NOTE,
    "a voice notated at a different pitch from the tablature",
    "In many sources a voice in staff notation and the tablature under it agree only if one of them is transposed: "
    "the instrument was tuned to suit the singer, and its name proves nothing. Here the notes on "
    "the beats fit the chords of the tablature much better after a move by the same interval throughout. The "
    "voice is transposed, never the tablature, and the edition says so.",
    _MOVED + "v 4=F#4 G E F#\n" + _MOVED_ON + "v 4=B4 A C#5 D\n",
    _MOVED + "v 4=E4 F D E\n" + _MOVED_ON + "v 4=A4 G B C5\n",
)
VOICE_FILE_MISSING = Code(
    "voice-file-missing",
    Severity.ERROR,
    "a notation file that cannot be read",
    "The heading takes a line from a notation file. Its path counts from the folder of the piece and stays inside "
    "the collection. The file is not there, may not be read, lies outside, or is too large. The rest of the piece "
    "is made.",
    _FILE,
    _FILE.replace(", from canto.musicxml", "").replace("|||\n", "|||\nv 1=D5\n"),
)
VOICE_FILE_BROKEN = Code(
    "voice-file-broken",
    Severity.ERROR,
    "a notation file that makes no sense",
    "The file is there, but is not MusicXML, ABC, kern or MIDI that can be read, or it has no such part. The "
    "message says what the reader stumbled over. The rest of the piece is made.",
    "",
    "",
)
VOICE_FILE_UNSAFE = Code(
    "voice-file-unsafe",
    Severity.ERROR,
    "a notation file that wants to fetch or to grow",
    "XML can declare entities, which may name other files or unfold without end, and can include other documents. "
    "No score needs that. Such a file is refused as a whole; nothing in it is resolved. The usual DOCTYPE line of "
    "MusicXML, without declarations of its own, is harmless and passes.",
    "",
    "",
)
VOICE_FILE_BARS = Code(
    "voice-file-bars",
    Severity.ERROR,
    "a notation file whose bars differ from those of the tablature",
    "The bars of the file are laid one for one under those of the tablature, repeats as written. Their numbers or "
    "lengths differ: a bar, an upbeat or a written-out repeat is missing on one side.",
    "",
    "",
)
VOICE_FILE_PART = Code(
    "voice-file-part",
    Severity.WARNING,
    "a notation file that must be chosen from",
    "The file has several parts, or its part several notes at a time, notes without a length of their own, or words "
    "and signs that are not read from this format. The part named as the layer is taken, else the top one; the highest "
    "note; no grace notes. A part is chosen by its number from the top: from canto.musicxml, part 2.",
    "",
    "",
)
VOICE_FILE_UNUSED = Code(
    "voice-file-unused",
    Severity.WARNING,
    "a line both typed and taken from a file",
    "The heading takes the line from a notation file, but lines of that name are typed under the bars. The typed "
    "lines are used, not the file.",
    _FILE.replace("|||\n", "|||\nv 1=D5\n"),
    _FILE.replace(", from canto.musicxml", "").replace("|||\n", "|||\nv 1=D5\n"),
)

RANGE_TOO_NARROW = Code(
    "range-too-narrow",
    Severity.WARNING,
    "a range that no transposition can bring the voice into",
    "A copy or the player's part was asked for a voice's range, but the sung line is wider than that, or there is "
    "none. The copy is then made at the pitch of the source, the player's part not at all; ask for a wider range, or "
    "for a transposition by name.",
    "",
    "",
)

RANGES_AND_VOICES = Code(
    "ranges-and-voices",
    Severity.NOTE,
    "not as many ranges as voices",
    "A copy was asked for the range of one voice, or of several, and the piece has another number of voices. The "
    "ranges are taken for the voices from the highest down; a single one that holds all of them is theirs together.",
    "",
    "",
)

_BASSO = """\
longneck 1
title A bass
instrument theorbo in A
metre C
layer b = Basso, clef F4

| 4=7,3:0 8,4:2 X,3:3 7,4:0
b 4=G2 F D G
| 4=7,3:0 8,4:2 X,3:3 7,4:0
b 4=G2 F D G
| 4=7,3:0,1:5 8,4:2 X,4:2,3:3 7,4:0
"""

SUNG_LEAP = Code(
    "sung-leap",
    Severity.NOTE,
    "a sung leap of more than an octave",
    "Voices of the period leap an octave at most. An octave figure holds until the next one, so one that is missing or "
    "mistyped moves all that follows it in the bar.",
    "| 1=7,4:0,3:0\nv 2=D5 F6",
    "| 1=7,4:0,3:0\nv 2=D5 F5",
)
SUNG_AGAINST = Code(
    "sung-against",
    Severity.NOTE,
    "a sung note against its own letter in the tablature",
    "A voice or bass has a natural where the tablature strikes the sharp or flat of the same letter with it, or the "
    "other way round. An accidental is missing, or a figure stands one fret off. The source may have it so: nothing is "
    "changed.",
    "| 1=7,4:3,3:3\nv 1=B4",
    "| 1=7,4:3,3:3\nv 1=Bb4",
)
BASS_DIFFERS = Code(
    "bass-differs",
    Severity.NOTE,
    "a bass note that the tablature does not have",
    "Nearly everywhere the tablature strikes the notes of the typed bass; here it strikes others. One of the two is "
    "mistyped or misprinted, or the player leaves the note out. Nothing is changed.",
    _BASSO + "b 4=G2 B D G\n",
    _BASSO + "b 4=G2 F D G\n",
)
FIGURE_DIFFERS = Code(
    "figure-differs",
    Severity.NOTE,
    "a figure that the tablature contradicts",
    "A figure over the bass asks for one note and the tablature has its neighbour: a fifth under a 6, a minor third "
    "under a sharp, a third under a 4, a major seventh under a flat 7. One of the two is mistyped or misprinted.",
    _BASSO + "b 4=G2'6 F D G\n",
    _BASSO + "b 4=G2 F D G\n",
)
LETTER_DIFFERS = Code(
    "letter-differs",
    Severity.NOTE,
    "a chord letter that the tablature contradicts",
    "The letters of this piece fit the tablature, read as names of chords or as those of the guitar; this one does "
    "not. Letter or chord is mistyped or misprinted.",
    "| 4=7,5:0,4:0,3:0 8,4:2,3:1 7,5:0,3:0 8,4:2,3:1\nc G F G D",
    "| 4=7,5:0,4:0,3:0 8,4:2,3:1 7,5:0,3:0 8,4:2,3:1\nc G F G F",
)
