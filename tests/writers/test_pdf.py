"""PDF pages: the size of the paper, the same picture as the SVG, text that is text, the same bytes every time."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from functools import cache
from io import BytesIO
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import resvg_py
from numpy.typing import NDArray
from PIL import Image

from pipeline.edition.casting import cast_off
from pipeline.model.artefacts import USUAL, Form
from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from pipeline.writers.engrave import engrave
from pipeline.writers.faces import FAMILY, lost_characters, store
from pipeline.writers.mei import write_mei
from pipeline.writers.pdf import Paper, write_pdf
from pipeline.writers.pdf.outlines import segments
from tests.made import HEADING, score

FACES = Path(store.__file__).parent / "files"
MUSIC = """section Prima
| 4'r=X,4:2,3:3,2:1 8=3:5 3:6'T _3:8 _3:6"a 2=8,3:2!3:3
"a EB: a doubt — as in “B”, per l'élève
| 16=1:0 _=1:2 _=1:3 _=1:5 8/3=2:0 2:1 2:3 4'u=7,4:0,3:0,2:1 4=- .||
""" + "\n".join("| 4=X,4:2,3:3,2:1 3:5 8=9,3:3 2:1 4=11,5:2,4:0" for _ in range(70))
#: Dots to the inch of the pictures that are compared.
DPI = 200
Picture = NDArray[np.float64]


@cache
def pages() -> tuple[str, ...]:
    heading = (
        HEADING + 'metre C\nkey D minor\ndiapasons 8 = F#2, 11 = Bb2\nmark T = "t" trill, after\neditor EB = E. B.\n'
    )
    notated = score(MUSIC, heading)
    return engrave(write_mei(cast_off(notated)), notated).pages


@cache
def made() -> bytes:
    return write_pdf(pages(), "Trial").content


def svg(body: str) -> str:
    """A page of A4 in tenths of a millimetre."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="210mm" '
        f'height="297mm" viewBox="0 0 2100 2970" color="black" font-family="{FAMILY}">{body}</svg>'
    )


def read(content: bytes) -> pypdfium2.PdfDocument:
    return pypdfium2.PdfDocument(content)


def grey(image: Image.Image) -> Picture:
    return np.asarray(image.convert("L"), dtype=float) / 255


def of_pdf(content: bytes, page: int) -> Picture:
    return grey(read(content)[page].render(scale=DPI / 72).to_pil())


def of_svg(page: str) -> Picture:
    """The page drawn by another program from the SVG itself, with the same faces."""
    drawn = resvg_py.svg_to_bytes(
        svg_string=page.replace(FAMILY, "'Longneck'"),
        dpi=DPI,
        background="#ffffff",
        skip_system_fonts=True,
        font_files=[str(file) for file in sorted(FACES.glob("*.ttf"))],
        serif_family="LongneckText",
        font_family="LongneckText",
    )
    return grey(Image.open(BytesIO(drawn)))


def coarse(picture: Picture, height: int, width: int) -> Picture:
    """Means of squares of 24 dots, 3 mm: finer differences are those of two ways to smooth edges."""
    high, wide = height // 24, width // 24
    return picture[: high * 24, : wide * 24].reshape(high, 24, wide, 24).mean(axis=(1, 3))


def apart(one: Picture, other: Picture) -> Picture:
    """How far two pictures differ, square by square."""
    height, width = min(one.shape[0], other.shape[0]), min(one.shape[1], other.shape[1])
    assert abs(one.shape[0] - other.shape[0]) <= 1 and abs(one.shape[1] - other.shape[1]) <= 1
    return np.abs(coarse(one, height, width) - coarse(other, height, width))


def test_the_paper_has_its_true_size() -> None:
    """ISO 216: A4 is 210 × 297 mm; letter is 8.5 × 11 inches. 72 points to the inch."""
    document = read(made())
    assert len(document) == len(pages()) > 1
    for page in document:
        assert page.get_size() == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72), abs=0.01)
    letter = read(write_pdf(pages()[:1], "Trial", Paper.LETTER).content)
    assert letter[0].get_size() == pytest.approx((8.5 * 72, 11 * 72), abs=0.01)


def test_letter_paper_holds_the_whole_page() -> None:
    """A frame round an A4 page: reduced by 279.4/297, with margins left and right, inside the sheet."""
    frame = svg('<rect x="1" y="1" width="2098" height="2968" fill="none" stroke="black" stroke-width="2"/>')
    picture = of_pdf(write_pdf([frame], "", Paper.LETTER).content, 0)
    dark = np.argwhere(picture < 0.5)
    (top, left), (bottom, right) = dark.min(axis=0), dark.max(axis=0)
    wide = (right - left + 1) / DPI * 25.4
    assert wide == pytest.approx(210 * 279.4 / 297, abs=0.6)
    assert left == pytest.approx(picture.shape[1] - 1 - right, abs=1.5)
    assert top <= 1 and bottom >= picture.shape[0] - 2


@pytest.mark.parametrize("number", [0, 1])
def test_pages_look_as_another_program_draws_them(number: int) -> None:
    ours, theirs = of_pdf(made(), number), of_svg(pages()[number])
    assert ours.mean() < 0.98  # there is ink
    difference = apart(ours, theirs)
    assert difference.max() < 0.09
    assert difference.mean() < 0.006


def test_the_comparison_sees_what_is_wrong() -> None:
    """A page without its text, one moved by a millimetre, and another page are told apart."""
    theirs = of_svg(pages()[0])
    without = pages()[0].replace("<text ", '<text visibility="hidden" ')
    shifted = np.roll(of_pdf(made(), 0), round(DPI / 25.4), axis=0)
    for wrong in (of_pdf(write_pdf([without], "").content, 0), of_pdf(made(), 1), shifted):
        assert apart(wrong, theirs).max() > 0.09


DRAWINGS = {
    "curves": '<path d="M200 200C400 100 600 100 800 200s400 100 600 0q200-200 400 0t100 100V500h-1500z"/>',
    "lines": '<g stroke="#808080" stroke-width="30" fill="none"><path d="M300 300L900 300" stroke-linecap="round"/>'
    '<path d="M300 400H900" stroke-dasharray="60 50"/><polyline points="300,600 500,900 700,600" '
    'stroke-linejoin="round"/></g>',
    "shapes": '<ellipse cx="700" cy="700" rx="300" ry="200"/><polygon points="1200,500 1500,500 1350,900"/>'
    '<circle cx="700" cy="1300" r="150" fill="silver"/><line x1="200" y1="1600" x2="1800" y2="1700" stroke="black" '
    'stroke-width="20"/>',
    "turned": '<g transform="rotate(30 1000,1000) translate(100 50) scale(2,1)"><rect x="400" y="450" width="200" '
    'height="90"/></g>',
    "glyphs": '<defs><g id="n"><path transform="scale(1,-1)" d="M0 0h100v200h-100z"/></g></defs>'
    '<use xlink:href="#n" transform="translate(500, 700) scale(2, 2)"/><use xlink:href="#n" x="0"/>',
    "rules": "<style>.red .quiet{visibility:hidden}.thick path[stroke-dasharray]{stroke-width:40px}"
    'path{stroke:currentColor}</style><g class="red"><rect class="quiet" x="100" y="100" width="900" height="900"/></g>'
    '<g class="thick">'
    '<path d="M100 1500H1900" stroke-dasharray="200 100"/><path d="M100 1800H1900"/></g>',
    "text": '<text x="200" y="300" font-size="120">Left <tspan font-style="italic">slanted</tspan> upright</text>'
    '<text x="1050" y="600" font-size="120" text-anchor="middle" font-weight="bold">Middle</text>'
    '<text x="1900" y="900" font-size="0px" text-anchor="end"><tspan font-size="90px">È il fin</tspan></text>',
    "white": '<rect width="2000" height="2000"/><rect x="500" y="500" width="900" height="900" fill="white" '
    'style="stroke:none"/>',
}  # fmt: skip


@pytest.mark.parametrize("name", DRAWINGS)
def test_drawings_look_as_another_program_draws_them(name: str) -> None:
    page = svg(DRAWINGS[name])
    assert apart(of_pdf(write_pdf([page], "").content, 0), of_svg(page)).max() < 0.09


def test_text_is_text() -> None:
    text = " ".join(page.get_textpage().get_text_range() for page in read(made()))
    assert "Trial" in text
    assert "B♭2" in text and "F♯2" in text  # signs that the text face lacks
    assert "per l'élève" in text and "“B”" in text
    assert read(made()).get_metadata_dict()["Title"] == "Trial"


def test_every_face_stands_in_the_file() -> None:
    """Each font that the file names has a program of its own (PDF 32000, 9.9: FontFile2 holds TrueType)."""
    assert made().count(b"/FontFile2") == made().count(b"/Type /FontDescriptor") > 0
    assert b"/Type1" not in made()


def test_characters_without_a_face_are_found_where_they_are_typed() -> None:
    """Not in a comment; once a line, in its order; in a folder's heading too; what is typed nowhere at the first
    line."""
    piece = SourceText.of("p.intav", "longneck 1 ; 龍\ntitle Rosa 龍 虎\nremark 龍\n")
    heading = SourceText.of("heading.intav", "longneck 1\ncomposer 某\n")
    found = list(lost_characters(("龍", "虎", "某", "☃"), (piece, heading)))
    assert [(each.span.file, each.span.line, each.span.start) for each in found] == [
        ("p.intav", 1, 1),
        ("heading.intav", 2, 10),
        ("p.intav", 2, 12),
    ]
    assert found[2].message == "No face of the pages has “龍” (U+9F8D), “虎” (U+864E); they are printed as U+FFFD."


@pytest.mark.parametrize("pdf", [True, False])
def test_a_build_warns_of_characters_that_its_pages_lack(pdf: bool) -> None:
    """With a PDF and without: the pages carry the same faces."""
    piece = SourceText.of("p.intav", "longneck 1\ntitle Rosa 龍\ninstrument theorbo in A\n\n| 1=3:2\n")
    found = build_piece(piece, (), Options(forms=(*USUAL, Form.PDF) if pdf else USUAL)).diagnostics
    assert [(each.code.slug, each.span.line) for each in found] == [("character-without-face", 2)]


def test_characters_without_a_face_are_told() -> None:
    pdf = write_pdf([svg('<text x="9" y="99" font-size="90">Rosa 龍 rosae</text>')], "")
    assert pdf.missing == ("龍",)
    assert "rosae" in read(pdf.content)[0].get_textpage().get_text_range()


@pytest.mark.parametrize(
    "body", ["<image/>", '<path d="M0 0A1 1 0 0 0 5 5"/>', '<g transform="skewX(3)"/>', "<style>a>b{fill:none}</style>"]
)
def test_what_the_writer_does_not_know_is_refused(body: str) -> None:
    with pytest.raises(ValueError, match="know"):
        write_pdf([svg(body)], "")


def test_who_wrote_the_music_is_the_author() -> None:
    heading = "longneck 1\ntitle Rosa\ncomposer Anónimo\ninstrument theorbo in A\n"
    made = build_piece(SourceText.of("p.intav", f"{heading}\n| 1=3:2\n"), (), Options(forms=(Form.PDF,)))
    for name in ("edition.pdf", "reduction.pdf"):
        document = pypdfium2.PdfDocument(dict(made.artefacts)[name])
        assert document.get_metadata_value("Author") == "Anónimo"
        assert document.get_metadata_value("Title") == "Rosa"


def test_the_same_bytes_every_time() -> None:
    """In one run, with other files written in between, and in runs of their own with other hash seeds."""
    write_pdf([svg(drawing) for drawing in DRAWINGS.values()], "Other")
    assert write_pdf(pages(), "Trial").content == made()
    program = (
        "import json, sys\nfrom pipeline.writers.pdf import write_pdf\n"
        "sys.stdout.buffer.write(write_pdf(json.load(sys.stdin), 'Trial').content)"
    )
    for seed in ("1", "2"):
        run = subprocess.run(
            [sys.executable, "-c", program],
            input=json.dumps(pages()).encode(),
            env={**os.environ, "PYTHONHASHSEED": seed},
            cwd=Path(__file__).parents[2],
            capture_output=True,
            check=True,
        )
        assert run.stdout == made()


def test_path_data() -> None:
    """Relative commands, smooth handles, a quadratic curve. Source: SVG 1.1, chapter 8."""
    assert segments("m10-5l1 1 2 2zh5v-.5") == [
        ("M", (10, -5)),
        ("L", (11, -4)),
        ("L", (13, -2)),
        ("Z", ()),
        ("L", (15, -5)),
        ("L", (15, -5.5)),
    ]
    assert segments("M0 0c1 0 2 1 2 2s1 2 3 2")[2] == ("C", (2, 3, 3, 4, 5, 4))
    assert segments("M0 0Q3 3 6 0")[1] == ("C", (2, 2, 4, 2, 6, 0))
    for wrong in ("M0", "M0 0A1 1 0 0 0 5 5", "M0 0C1 2 3"):
        with pytest.raises(ValueError, match="path"):
            segments(wrong)
