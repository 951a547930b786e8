"""Findings about files, before a single sign is read, and about the program itself."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

NOT_UTF8 = Code(
    "not-utf8",
    Severity.ERROR,
    "a byte that is not UTF-8",
    "Pieces are UTF-8 text, the same on every computer. These bytes are in another encoding, usually an accented "
    "letter saved by an old program. Nothing is guessed: save the file again as UTF-8, and the "
    "piece will be read.",
    # As it looks where the bad byte is shown by the sign for it.
    """\
longneck 1
title Pr\ufffdlude
instrument theorbo in A
metre C

| 1=7,4:0,3:0 |||
""",
    """\
longneck 1
title Prélude
instrument theorbo in A
metre C

| 1=7,4:0,3:0 |||
""",
    fixed=True,
)

BYTE_ORDER_MARK = Code(
    "byte-order-mark",
    Severity.ERROR,
    "an invisible sign before the first line",
    "Some editors put an invisible byte order mark before the text. It makes two files differ that look alike. "
    "Save the file as UTF-8 without it. The rest of the piece has been read all the same.",
    """\
\ufefflongneck 1
title Something before
instrument theorbo in A
metre C

| 1=7,4:0,3:0 |||
""",
    """\
longneck 1
title Nothing before
instrument theorbo in A
metre C

| 1=7,4:0,3:0 |||
""",
    fixed=True,
)

FILE_TOO_LARGE = Code(
    "file-too-large",
    Severity.ERROR,
    "a file too large to be a piece",
    "One piece of tablature is some kilobytes of text; a whole book fits into one megabyte. A file beyond four "
    "megabytes is something else with the ending of a piece, and is not read.",
    "",
    "",
    fixed=True,
)

FILE_UNREADABLE = Code(
    "file-unreadable",
    Severity.ERROR,
    "a file that cannot be read",
    "The system refuses to hand the file over: it is gone, it is a folder, or you may not read it. The message "
    "says which. All other pieces have been done.",
    "",
    "",
    fixed=True,
)

FOLDER_UNREADABLE = Code(
    "folder-unreadable",
    Severity.ERROR,
    "a folder that cannot be looked into",
    "The system refuses to list the folder: you may not read it, it has just gone, or its disk does not answer. There "
    "may be pieces in it, so the run cannot end well, and nothing that was built of them earlier is cleared. All "
    "other pieces have been done.",
    "",
    "",
    fixed=True,
)

CANNOT_WRITE = Code(
    "cannot-write",
    Severity.ERROR,
    "an output that cannot be written",
    "The system refuses to write into the output folder: it is read-only, full, or not a folder. The message says "
    "which. What stood there before is untouched: a file is replaced only when its successor is complete.",
    "",
    "",
    fixed=True,
)

INTERNAL_FAULT = Code(
    "internal-fault",
    Severity.ERROR,
    "a fault of the program, not of the piece",
    "Whatever is typed, longneck should answer with findings and never break down. Here it did. The other "
    "pieces have been done. Please keep the file and report it with the text of the fault.",
    "",
    "",
    fixed=True,
)

MARKS_UNREADABLE = Code(
    "marks-unreadable",
    Severity.WARNING,
    "marks of proof-reading that cannot be read",
    "Beside a piece may lie a file with the marks of whoever proof-reads it: which bars are read, and notes. The proof "
    "page saves it; its name is that of the piece, ending in .read.json. This one is no such file, or was damaged. The "
    "edition is complete without it; the proof page and the page of all pieces show nothing as read.",
    "",
    "",
)
