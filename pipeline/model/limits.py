"""How much of everything one piece may hold. All limits of typed text stand here, and in the README.

They lie far beyond any real piece, and low enough for a text of any kind to be done in seconds: what is larger is
left unread, with a finding at the place where reading ends, and never lost.
"""

#: Bytes of a piece's or a folder's heading's file; a whole book is far smaller.
FILE_BYTES = 4 * 2**20
#: Physical lines of a file.
MOST_LINES = 100_000
#: Characters of a bar or any other line, with the lines that continue it, and how many these may be.
LONGEST_LINE = 20_000
MOST_CONTINUED = 1_000
#: Lines under one bar: layers, words, other sources, notes.
MOST_UNDER_BAR = 300
#: Stops of one event, struck together or one after another.
MOST_STOPS = 32
#: Characters of one stop with its marks and labels, of what stands over an event, of a note, of a bar line.
LONGEST_SIGN = 100
#: Courses of an instrument.
MOST_COURSES = 24
#: Bars, events and sounding stops of a piece, those of dittos counted.
MOST_BARS = 10_000
MOST_EVENTS = 50_000
MOST_SOUNDING = 60_000
#: Stretches of music between two repeat signs or bar lines as played, with all repeats.
MOST_PLAYED = 100_000
#: Characters of a message.
MOST_WORDS = 400
#: Findings on one piece that are listed.
MOST_FINDINGS = 10_000

#: Bytes of a notation file by its kind, and of one that is unpacked. They are as large as the reader of each kind,
#: music21, can bear in some seconds: it takes milliseconds for a note of ABC.
VOICE_FILE_BYTES = 16 * 2**20
VOICE_UNPACKED_BYTES = 32 * 2**20
VOICE_KIND_BYTES = {"abc": 16 * 2**10, "humdrum": 64 * 2**10, "midi": 64 * 2**10}
#: Elements of MusicXML, those of them that are notes or (in all parts) bars, and those that join others far away.
MOST_VOICE_ELEMENTS = 400_000
MOST_VOICE_NOTES = 20_000
MOST_VOICE_MEASURES = 5_000
MOST_VOICE_JOINTS = 4_000
#: Slurs and tuplets of ABC, and characters of a chord in it.
MOST_ABC_JOINTS = 1_000
MOST_IN_CHORD = 200
#: Characters of ABC between two bar lines: its reader takes four times as long for twice as many.
LONGEST_ABC_BAR = 4_096
#: Bars of a part in a notation file of any kind.
MOST_VOICE_BARS = 1_000
#: Tracks of MIDI.
MOST_VOICE_TRACKS = 64
#: The numbers of a metre or tuplet in it.
MOST_IN_METRE = 64
#: Crotchets of a note or rest, and of a whole part, in a notation file.
LONGEST_VOICE_NOTE = 1_000
LONGEST_VOICE = 8_000
