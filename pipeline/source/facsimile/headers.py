"""What an image is, by its first bytes: never by its name, and without unfolding it."""

from __future__ import annotations

from pipeline.model.facsimile import ImageFile

#: Bytes that are looked at.
ENOUGH = 2**18
#: Bytes and pixels of an image; a folio at 600 dots an inch stays below.
LARGEST, MOST_PIXELS = 16 * 2**20, 120_000_000

_PNG, _JPEG = b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff"
#: JPEG markers that open a frame and so tell its size (ITU-T T.81, table B.1), and those without a length.
_FRAMES = frozenset({*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC})
_BARE = frozenset({0x01, *range(0xD0, 0xD9)})


def image_of(name: str, head: bytes, size: int) -> ImageFile:
    """What a file is, from its first bytes (``head``, up to ``ENOUGH``) and its size in bytes."""
    kind = "png" if head.startswith(_PNG) else "jpg" if head.startswith(_JPEG) else ""
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        kind = "webp"
    if not kind:
        return ImageFile(name, size=size, refused="it is not a PNG, JPEG or WebP image")
    if size > LARGEST:
        return ImageFile(name, kind, size, refused=f"it holds more than {LARGEST // 2**20} MB")
    found = {"png": _png, "jpg": _jpeg, "webp": _webp}[kind](head)
    if found is None and kind == "jpg" and size > len(head):  # so much stands before the picture that it was not seen
        return ImageFile(name, kind, size)
    width, height = found or (0, 0)
    if not width or not height:
        return ImageFile(name, kind, size, refused="it is cut off, or has no width or no height")
    if width * height > MOST_PIXELS:
        return ImageFile(name, kind, size, width, height, refused=f"it has more than {MOST_PIXELS // 10**6} megapixels")
    return ImageFile(name, kind, size, width, height)


def _png(head: bytes) -> tuple[int, int] | None:
    """From the header chunk, which comes first (PNG specification, 11.2.2)."""
    if head[12:16] != b"IHDR" or len(head) < 24:
        return None
    return int.from_bytes(head[16:20], "big"), int.from_bytes(head[20:24], "big")


def _jpeg(head: bytes) -> tuple[int, int] | None:
    """From the first frame header, after whatever segments stand before it (ITU-T T.81, B.2.2)."""
    place = 2
    while place + 9 <= len(head) and head[place] == 0xFF:
        marker = head[place + 1]
        if marker == 0xFF:  # fill
            place += 1
        elif marker in _BARE:
            place += 2
        elif marker in _FRAMES:
            return int.from_bytes(head[place + 7 : place + 9], "big"), int.from_bytes(
                head[place + 5 : place + 7], "big"
            )
        else:
            place += 2 + int.from_bytes(head[place + 2 : place + 4], "big")
    return None


def _webp(head: bytes) -> tuple[int, int] | None:
    """From the first chunk, whose name says which of three forms it has (RFC 9649)."""
    form = head[12:16]
    if form == b"VP8X" and len(head) >= 30:
        return 1 + int.from_bytes(head[24:27], "little"), 1 + int.from_bytes(head[27:30], "little")
    if form == b"VP8L" and len(head) >= 25:
        bits = int.from_bytes(head[21:25], "little")
        return 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
    if form == b"VP8 " and len(head) >= 30:
        return int.from_bytes(head[26:28], "little") & 0x3FFF, int.from_bytes(head[28:30], "little") & 0x3FFF
    return None
