"""Pictures of the source, opened to be looked at: never more of them than a look needs."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

#: No side has more pixels than this once it is opened: enough to tell the lines of a tablature from each other.
_SIDE = 1600


def grey_of(data: bytes) -> NDArray[np.uint8] | str:
    """A picture as rows of brightness, turned as a browser turns it, or why it cannot be opened. Never raises."""
    # Imported late, as all that only one command needs.
    import numpy as np  # noqa: PLC0415
    from PIL import Image, ImageOps  # noqa: PLC0415

    try:
        with Image.open(BytesIO(data), formats=("PNG", "JPEG", "WEBP")) as picture:
            picture.draft("L", (_SIDE, _SIDE))
            turned = ImageOps.exif_transpose(picture)
            turned.thumbnail((_SIDE, _SIDE))
            return np.asarray(turned.convert("L"))
    except (OSError, ValueError, SyntaxError, EOFError, Image.DecompressionBombError) as error:
        return f"it cannot be opened ({str(error).partition(chr(10))[0][:100] or type(error).__name__})"
