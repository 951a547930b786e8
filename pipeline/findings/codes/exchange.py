"""Findings on tablature that is taken over from MEI or MusicXML: the file, and what its text cannot say."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

EXCHANGE_FILE_BROKEN = Code(
    "exchange-file-broken",
    Severity.ERROR,
    "a file that holds no tablature to be taken over",
    "Tablature is taken from MEI (a tablature staff with tabGrp) and from MusicXML (notes with string and fret). This "
    "file cannot be read as either, or there is no tablature in it.",
    "",
    "",
    fixed=True,
)
EXCHANGE_FILE_UNSAFE = Code(
    "exchange-file-unsafe",
    Severity.ERROR,
    "a file that asks for what no score needs",
    "The file declares entities or includes other documents. Files from elsewhere may do harm with either, so it is "
    "not read any further.",
    "",
    "",
    fixed=True,
)
NOT_TAKEN_OVER = Code(
    "not-taken-over",
    Severity.WARNING,
    "something in the file that the text cannot say",
    "Tablature was taken over from MEI or MusicXML. What is named here has no counterpart in the encoding, or is none "
    "of the source's: it stays behind in the file, and every place is listed.",
    "",
    "",
)
PITCH_AGAINST_TUNING = Code(
    "pitch-against-tuning",
    Severity.WARNING,
    "a pitch in the file that its tuning contradicts",
    "The file says of a figure what it sounds, and its tuning says something else. The text has course and fret as "
    "they stand; find out which of the two is wrong.",
    "",
    "",
)
NO_TUNING = Code(
    "no-tuning",
    Severity.WARNING,
    "a file that does not say how the instrument is tuned",
    "Without a tuning the signs are taken over, and no pitch is claimed. Name the instrument in the heading of the "
    "text, or declare every course.",
    "",
    "",
)
ASSUMED = Code(
    "assumed-in-taking-over",
    Severity.NOTE,
    "something that the text had to say and the file leaves open",
    "Tablature was taken over from MEI or MusicXML, and the encoding needs a word that the file does not have, such as "
    "the siglum of a source. What was chosen is said here.",
    "",
    "",
)
CHANGED_BY_HEADING = Code(
    "changed-by-heading",
    Severity.ERROR,
    "a folder whose heading would change what was taken over",
    "Every piece inherits the headings of its folder and of those above. Here they would read the values, the tuning "
    "or the lines of the text otherwise than the file has them, so nothing was written.",
    "",
    "",
    fixed=True,
)
