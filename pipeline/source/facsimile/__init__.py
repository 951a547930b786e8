"""Images of the source: what their files are, and which bars they show."""

from pipeline.source.facsimile.folios import folio_images, folios_of, images_named
from pipeline.source.facsimile.headers import ENOUGH, image_of

__all__ = ["ENOUGH", "folio_images", "folios_of", "image_of", "images_named"]
