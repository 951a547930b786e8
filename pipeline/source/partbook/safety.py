"""XML from somewhere else: opened by a parser that fetches nothing, unfolds nothing, and gives up early."""

from __future__ import annotations

import lzma
import struct
import zipfile
import zlib
from io import BytesIO

from lxml import etree

from pipeline.model.limits import VOICE_UNPACKED_BYTES as LARGEST

_ROOTS = ("score-partwise",)
_INCLUDE = "{http://www.w3.org/2001/XInclude}"
#: What the library of the language raises on a damaged archive.
_UNPACKING = (
    zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error, NotImplementedError, RuntimeError, LookupError,
    EOFError, OSError, ValueError, OverflowError,
)  # fmt: skip
_CONTAINER = "META-INF/container.xml"


class UnsafeError(Exception):
    """The file declares entities or includes other documents; the message says what."""


class BrokenError(Exception):
    """The file is not what its name says; the message says why."""


class TooMuchError(BrokenError):
    """The file holds more than is read; the message says what there is too much of."""


def score_of(data: bytes) -> etree._Element:
    """The root of a score-partwise document. Raises UnsafeError, BrokenError."""
    return document_of(data, _ROOTS)


def document_of(data: bytes, roots: tuple[str, ...]) -> etree._Element:
    """The root of a document whose root is one of these. Raises UnsafeError, BrokenError."""
    root = _parsed(data)
    if root.tag not in roots:
        wanted = " or ".join(f"<{etree.QName(name).localname}>" for name in roots)
        raise BrokenError(f"its root is <{_short(root.tag)}>, not {wanted}")
    return root


def written_out(root: etree._Element) -> str:
    """The document anew, without any document type."""
    return etree.tostring(root, encoding="unicode")


def unpacked(data: bytes) -> bytes:
    """The score inside a compressed MusicXML file (.mxl). Raises UnsafeError, BrokenError."""
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            name = _score_name(archive)
            return _member(archive, name)
    except _UNPACKING as error:
        raise BrokenError(f"it is not compressed MusicXML: {_short(str(error))}") from error


def _score_name(archive: zipfile.ZipFile) -> str:
    names = archive.namelist()
    if _CONTAINER in names:
        root = _parsed(_member(archive, _CONTAINER))
        for file in root.iter("{*}rootfile"):
            path = file.get("full-path")
            if path in names:
                return str(path)
    found = [name for name in names if name.endswith((".xml", ".musicxml")) and not name.startswith("META-INF/")]
    if not found:
        raise BrokenError("it is a ZIP archive with no score in it")
    return found[0]


def _member(archive: zipfile.ZipFile, name: str) -> bytes:
    """A member, unpacked no further than the limit, whatever its header promises."""
    with archive.open(name) as stream:
        data = stream.read(LARGEST + 1)
    if len(data) > LARGEST:
        raise UnsafeError(f"unpacked it holds more than {LARGEST // 2**20} MB")
    return data


def _parsed(data: bytes) -> etree._Element:
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, dtd_validation=False, huge_tree=False,
        attribute_defaults=False, remove_pis=True, remove_comments=True,
    )  # fmt: skip
    try:
        root = etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError, LookupError) as error:
        if b"<!ENTITY" in data or "<!ENTITY".encode("utf-16-le") in data or "<!ENTITY".encode("utf-16-be") in data:
            raise UnsafeError("it declares entities") from error
        line = f" (line {error.lineno})" if isinstance(error, etree.XMLSyntaxError) and error.lineno else ""
        if "already defined" in str(error):
            raise BrokenError(f"it gives the same name (xml:id) twice{line}") from error
        raise BrokenError(f"it is not well-formed XML{line}") from error
    _refuse_declarations(root)
    return root


def _refuse_declarations(root: etree._Element) -> None:
    dtd = root.getroottree().docinfo.internalDTD
    if dtd is not None and (any(dtd.iterentities()) or any(dtd.iterelements())):  # type: ignore[attr-defined]
        raise UnsafeError("its DOCTYPE declares entities or elements of its own")
    for node in root.iter():
        if node.tag is etree.Entity:
            raise UnsafeError("it refers to an entity")
        if isinstance(node.tag, str) and node.tag.startswith(_INCLUDE):
            raise UnsafeError("it includes another document (XInclude)")


def _short(text: object) -> str:
    whole = " ".join(str(text).split())
    return whole if len(whole) <= 100 else whole[:99] + "…"
