"""Images of the source: what a file is by its first bytes, and which bars an image shows."""

from __future__ import annotations

import io
import struct
from pathlib import Path

import pytest
from PIL import Image

from pipeline.folder.batch import Done, Job, build_one, check_one
from pipeline.folder.files import PieceFile
from pipeline.model.artefacts import Form
from pipeline.model.facsimile import ImageFile
from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.source.facsimile import ENOUGH, folio_images, image_of, images_named
from pipeline.source.facsimile.headers import LARGEST, MOST_PIXELS
from tests.made import HEADING, resolved

ONLY_PROOF = Options(copy=False, forms=(Form.PROOF,))


def picture(kind: str, width: int = 31, height: int = 17, **how: object) -> bytes:
    """An image as an independent library writes it."""
    stream = io.BytesIO()
    Image.new("RGB", (width, height), "white").save(stream, kind, **how)
    return stream.getvalue()


@pytest.mark.parametrize(
    ("kind", "how", "ending"),
    [
        ("png", {}, "png"),
        ("jpeg", {}, "jpg"),
        ("jpeg", {"progressive": True}, "jpg"),
        ("jpeg", {"exif": b"Exif\0\0" + bytes(60_000)}, "jpg"),
        ("webp", {}, "webp"),
        ("webp", {"lossless": True}, "webp"),
        ("webp", {"exif": b"Exif\0\0" + bytes(100)}, "webp"),
    ],
)
def test_kind_and_size_as_another_library_writes_them(kind: str, how: dict[str, object], ending: str) -> None:
    data = picture(kind, **how)
    image = image_of("x.jpg", data, len(data))
    assert (image.kind, image.width, image.height, image.usable) == (ending, 31, 17, True)


@pytest.mark.parametrize(
    "data", [b"", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"GIF89a", b"%PDF-1.7", b"RIFF....WAVE"]
)
def test_nothing_else_is_an_image(data: bytes) -> None:
    assert image_of("x.png", data, len(data)).refused == "it is not a PNG, JPEG or WebP image"


@pytest.mark.parametrize("kind", ["png", "jpeg", "webp"])
def test_a_file_cut_off_anywhere_is_still_read(kind: str) -> None:
    data = picture(kind)
    for end in range(len(data)):
        image = image_of("x", data[:end], end)
        assert (image.width, image.height) in {(0, 0), (31, 17)}


def test_an_image_of_no_size_is_none() -> None:
    """Forged from what an independent library wrote; that library then refuses them too, or sees no size."""
    png, jpeg, lossy = picture("png"), picture("jpeg"), picture("webp")
    frame = jpeg.index(b"\xff\xc0")
    forged = [
        png[:16] + struct.pack(">II", 0, 0) + png[24:],
        png[:16] + struct.pack(">II", 31, 0) + png[24:],
        jpeg[: frame + 5] + struct.pack(">HH", 0, 0) + jpeg[frame + 9 :],
        jpeg[:frame],
        lossy[:26] + bytes(4) + lossy[30:],
        png[:20],
    ]
    for data in forged:
        assert image_of("x", data, len(data)).refused == "it is cut off, or has no width or no height"
    after_much = jpeg[:2] + (b"\xff\xe2" + struct.pack(">H", 65_000) + bytes(64_998)) * 5 + jpeg[2:]
    assert Image.open(io.BytesIO(after_much)).size == (31, 17)
    assert image_of("x", after_much[:ENOUGH], len(after_much)).usable, "its size is too far behind, but it has one"


def test_too_large_in_bytes_or_pixels() -> None:
    png = picture("png")
    assert image_of("x", png, LARGEST + 1).refused == "it holds more than 16 MB"
    bomb = png[:16] + struct.pack(">II", MOST_PIXELS, 2) + png[24:]
    assert image_of("x", bomb, len(bomb)).refused == "it has more than 120 megapixels"


def test_images_of_the_folder_count_where_their_folio_is_named() -> None:
    own = SourceText.of("a", "longneck 1\nfacsimile 9r = own.png ; not yet named\n\n&4r\n| 1=7 &5v 1=8\n")
    book = SourceText.of("h", "facsimile 4r = a folder/4r.jpg\nfacsimile 4v = 4v.jpg\nfacsimile 5v = 5v.jpg\n")
    assert images_named(own, [book]) == ("own.png", "a folder/4r.jpg", "5v.jpg")


def test_bars_of_each_folio() -> None:
    heading = HEADING + "facsimile 3v = 3v.png\nfacsimile 4r = 4r.png\nfacsimile 4v = gone.png\n"
    piece, _ = resolved("| 1=7\n&4r\n| 1=7\n| 2=7 &4v 2=8\n&\n| 1=7 |||", heading)
    images = {name: ImageFile(name, "png", 9, 3, 4) for name in ("3v.png", "4r.png")}
    outcome = folio_images(piece, images)
    assert [(image.folio, image.file, image.bars) for image in outcome.value] == [
        ("3v", "facsimile-001.png", (0,)),  # before the first break: the folio that no break names
        ("4r", "facsimile-002.png", (1, 2)),
    ]
    assert [(found.code.slug, found.span.line) for found in outcome.diagnostics] == [("facsimile-missing", 6)]


# --- beside real files ----------------------------------------------------------------------------------------


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "collection" / ".git").mkdir(parents=True)
    return tmp_path / "collection"


def piece(folder: Path, *lines: str) -> PieceFile:
    text = HEADING + "".join(f"facsimile {line}\n" for line in lines) + "metre C\n\n&4r\n| 1=7,4:0,3:0 |||\n"
    (folder / "x.intav").write_text(text, encoding="utf-8")
    return PieceFile(folder / "x.intav", "x.intav", Path("x"))


def built(folder: Path, file: PieceFile) -> Done:
    return build_one(Job(file, folder / "out" / "x", folder / "out"), ONLY_PROOF)


def test_images_are_copied_and_kept_by_content(folder: Path) -> None:
    (folder / "scan.JPG").write_bytes(picture("png"))  # its name is wrong, and does not matter
    file = piece(folder, "4r = scan.JPG")
    done = built(folder, file)
    copied = folder / "out" / "x" / "facsimile-001.png"
    assert not done.diagnostics and copied in done.written
    assert copied.read_bytes() == picture("png")
    assert b'src="facsimile-001.png"' in (folder / "out" / "x" / "proof.html").read_bytes()
    assert built(folder, file).kept
    (folder / "scan.JPG").write_bytes(picture("jpeg"))
    again = built(folder, file)
    assert not again.kept and not copied.exists()
    assert (folder / "out" / "x" / "facsimile-001.jpg").read_bytes() == picture("jpeg")


def test_an_image_that_appears_or_goes_is_noticed(folder: Path) -> None:
    file = piece(folder, "4r = scan.png")
    assert [found.code.slug for found in built(folder, file).diagnostics] == ["facsimile-missing"]
    (folder / "scan.png").write_bytes(picture("png"))
    assert not built(folder, file).diagnostics
    (folder / "scan.png").unlink()
    assert [found.code.slug for found in built(folder, file).diagnostics] == ["facsimile-missing"]
    assert not (folder / "out" / "x" / "facsimile-001.png").exists()


def test_huge_files_and_files_elsewhere_are_refused_at_their_line(folder: Path) -> None:
    with (folder / "huge.png").open("wb") as stream:
        stream.write(picture("png"))
        stream.truncate(LARGEST + 1)
    (folder.parent / "outside.png").write_bytes(picture("png"))
    (folder / "link.png").symlink_to(folder.parent / "outside.png")
    found = check_one(Job(piece(folder, "4r = huge.png", "4v = ../outside.png", "5r = link.png"))).diagnostics
    assert [(one.code.slug, one.span.line, one.message.rpartition(": ")[2]) for one in found] == [
        ("facsimile-refused", 4, "it holds more than 16 MB."),
        ("facsimile-missing", 5, "it lies outside the collection."),
        ("facsimile-missing", 6, "it lies outside the collection."),
    ]
