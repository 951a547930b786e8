"""What a volume says in its own words, the same on paper and on the site."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from pipeline.desk.programme.sheet import TunedCourse
from pipeline.desk.programme.writers.words import in_print, pitches
from pipeline.desk.volume.plan import sorted_as
from pipeline.desk.volume.record import Leaf, Section, Volume
from pipeline.model.apparatus import OF_THE_READING, Apparatus, Entry, Kind
from pipeline.model.heading import Heading, Witness
from pipeline.writers.report.words import bar_said, course_said, event_said

CONTENTS = "Contents"
INTRODUCTION = "Introduction"
METHOD = "Editorial method"
INSTRUMENTS = "Instruments and tunings"
REPORT = "Critical report"
INDEX = "Titles and first lines"
QUESTION_KEY = (
    "With a question mark: nothing is declared, and the stopped notes of the piece ask for this pitch rather than the "
    "usual one; the edition prints the usual one."
)
#: What the tables of tunings mean.
TABLE_KEY = f"Bold: declared by the editor. Plain: as the instrument is usually tuned. {QUESTION_KEY}"


def editors_of(volume: Volume) -> tuple[tuple[str, str], ...]:
    """Everybody who edited the volume or a piece of it, each once."""
    headings = (volume.heading, *(leaf.heading for leaf in volume.leaves))
    return tuple(dict.fromkeys(editor for heading in headings for editor in heading.editors))


def edited_by(editors: Sequence[tuple[str, str]]) -> str:
    """``Edited by E. B. and M. R.``; empty where no editor is named."""
    names = [name or initials for initials, name in editors]
    if not names:
        return ""
    return f"Edited by {' and '.join([', '.join(names[:-1]), names[-1]] if names[1:] else names)}"


def source_said(witness: Witness) -> str:
    """``A: Trial book, f. 3v (shelfmark Mus. ms. 12; date 1604)``."""
    described = witness.described
    parts = "; ".join(f"{name.lower()} {text}" for name, text in described.parts)
    return f"{witness.siglum}: {described.text}" + (f" ({parts})" if parts else "")


def edition_said(heading: Heading) -> str:
    """``Edition 1.1, 30 November 2026``; empty where none is declared."""
    return f"Edition {heading.issue.version}, {day_said(heading.issue.date)}" if heading.issue else ""


def day_said(date: str) -> str:
    """``2026-11-30`` as ``30 November 2026``."""
    year, month, day = date.split("-")
    return f"{int(day)} {_MONTHS[int(month) - 1]} {year}"


_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


def under_title(leaf: Leaf, section: Section) -> str:
    """Composer and first words, as a list has them under a title; no composer where the part as a whole has one."""
    composer = "" if composer_of(section) else leaf.heading.composer
    first = leaf.first_line if sorted_as(leaf.first_line) != sorted_as(leaf.title) else ""
    return " · ".join(part for part in (composer, first) if part)


def composer_of(section: Section) -> str:
    """The composer whom all pieces of a part share; empty where there is none."""
    names = {leaf.heading.composer for leaf in section.leaves}
    return names.pop() if len(names) == 1 and section.title else ""


def citation(leaf: Leaf, volume: Volume, pages: str) -> str:
    """How the piece is cited: composer, title, volume, editors, pages, version and date of the text."""
    heading = leaf.heading
    composer = f"{heading.composer}, " if heading.composer else ""
    editors = edited_by(heading.editors)
    said = [f"{composer}“{leaf.title}”, in: {volume.book.title}"]
    if editors:
        said.append(f"{editors[0].lower()}{editors[1:]}")
    if pages:
        said.append(pages)
    if heading.issue:
        said.append(f"edition {heading.issue.version} of {day_said(heading.issue.date)}")
    return f"{', '.join(said).rstrip('.')}."


def pages_said(first: int, count: int) -> str:
    """``p. 4``, ``pp. 4–5``."""
    return f"p. {first}" if count == 1 else f"pp. {first}–{first + count - 1}"


@dataclass(frozen=True, slots=True)
class ScaleRow:
    """How one piece tunes its diapasons: the course numbers of its table → pitch. ``a4`` in hertz, as declared."""

    leaf: Leaf
    cells: tuple[TunedCourse | None, ...]
    a4: str
    changes: str


@dataclass(frozen=True, slots=True)
class ScaleTable:
    """An instrument, its stopped courses, and its diapasons piece by piece; ``numbers`` are those of the courses."""

    name: str
    stopped: str
    numbers: tuple[int, ...]
    rows: tuple[ScaleRow, ...]


def scale_tables(leaves: Sequence[Leaf]) -> Iterator[ScaleTable]:
    """One table for each instrument with its stopped courses, in the order in which they come first."""
    order: dict[tuple[str, str], int] = {}
    for leaf in leaves:
        order.setdefault(_instrument(leaf), len(order))
    for (name, stopped), group in groupby(sorted(leaves, key=lambda leaf: order[_instrument(leaf)]), key=_instrument):
        mine = list(group)
        numbers = sorted({course.number for leaf in mine for course in leaf.tuning.diapasons})
        yield ScaleTable(name, stopped, tuple(numbers), tuple(_row(leaf, numbers) for leaf in mine))


def _instrument(leaf: Leaf) -> tuple[str, str]:
    name = leaf.heading.instrument.name
    stopped = " · ".join(in_print(pitches(course)) for course in leaf.tuning.stopped)
    return name[:1].upper() + name[1:], stopped


def _row(leaf: Leaf, numbers: Sequence[int]) -> ScaleRow:
    courses = {course.number: course for course in leaf.tuning.diapasons}
    pitch = leaf.heading.pitch
    said = []
    for inside in leaf.tuning.inside:
        moves = ", ".join(f"{move.course} to {in_print(move.after.pitch.name)}" for move in inside.moves)
        said.append(f"{moves} before bar {inside.bar}" if inside.bar else f"{moves} on the way")
    return ScaleRow(
        leaf, tuple(courses.get(number) for number in numbers), f"{pitch:g}" if pitch else "", "; ".join(said)
    )


def cell_said(course: TunedCourse | None) -> str:
    """The pitch of a diapason in a table, and behind it the other that may be meant."""
    if course is None:
        return ""
    return in_print(pitches(course)) + (f" ({in_print(course.asked.name)}?)" if course.asked is not None else "")


# --- the critical report ------------------------------------------------------------------------------------


def readings(apparatus: Apparatus) -> tuple[Entry, ...]:
    """What was done with the signs of the source."""
    return tuple(entry for entry in apparatus.entries if entry.kind not in OF_THE_READING)


#: The columns of the report.
COLUMNS = ("Bar", "Event", "Course", "Sign", "Source", "Edition", "Remark")


def row_said(leaf: Leaf, entry: Entry) -> tuple[str, ...]:
    """One reading in the columns of the report."""
    several = len(leaf.heading.witnesses) > 1
    siglum = entry.siglum or (leaf.apparatus.copy_text if several and entry.source else "")
    sign = f"{entry.subject.value}, {entry.part}" if entry.part else entry.subject.value
    source = f"{siglum}: {entry.source}" if siglum and entry.source else entry.source
    remark = ": ".join(part for part in (entry.kind.value, entry.reason) if part)
    if entry.who and entry.reason and ", " not in entry.who:
        remark = f"{remark} ({entry.who})"
    return bar_said(entry), event_said(entry), course_said(entry), sign, source, entry.here, remark


def usual_values(volume: Volume) -> str:
    """The sentence on note values that most pieces of several share; empty where none does."""
    first = Counter(leaf.apparatus.statement.decisions[0] for leaf in volume.leaves)
    ((said, count),) = first.most_common(1) or [("", 0)]
    return said if count > 1 and 2 * count > len(volume.leaves) else ""


def values_said(volume: Volume) -> str:
    """What the report says once for all pieces of their note values; empty where it says it of each."""
    usual = usual_values(volume)
    return f"{usual.rstrip('.')}, unless it is said otherwise of a piece." if usual else ""


def decided(leaf: Leaf, volume: Volume) -> str:
    """What the editor decided in a piece, in sentences. Whom the initials mean, and which note values most pieces have,
    is said once for all of them."""
    usual = usual_values(volume)
    return " ".join(
        said for said in leaf.apparatus.statement.decisions if said != usual and not said.startswith("Initials:")
    )


def initials_said(volume: Volume) -> str:
    """``Initials: EB: E. B., MR: M. R.``; empty where nobody is named."""
    who = ", ".join(f"{initials}: {name}" for initials, name in editors_of(volume))
    return f"Initials: {who.rstrip('.')}." if who else ""


def octaves_said(apparatus: Apparatus) -> Iterator[str]:
    """Octaves and voices read into the tablature, by their places: ``Octave restored: bar 3, events 1, 2; …``."""
    for kind in (Kind.PINNED, Kind.RESTORED, Kind.ASKED):
        mine = [entry for entry in apparatus.entries if entry.kind is kind]
        if mine:
            said = "; ".join(_bar(bar, list(group)) for bar, group in groupby(mine, key=lambda entry: entry.bar))
            yield f"{kind.value[:1].upper()}{kind.value[1:]}: {said}."


def _bar(bar: str, entries: Sequence[Entry]) -> str:
    events = list(dict.fromkeys(entry.event for entry in entries if entry.event))
    said = f"bar {bar}" if bar else "upbeat"
    if not events:
        return said
    return f"{said}, event{'s' if events[1:] else ''} {', '.join(map(str, events))}"
