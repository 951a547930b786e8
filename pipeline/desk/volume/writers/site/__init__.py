"""The volume as a site that needs no server: pages beside the files that a build makes of each piece."""

from pipeline.desk.volume.writers.site.document import write_site
from pipeline.desk.volume.writers.site.piece import SitePiece

__all__ = ["SitePiece", "write_site"]
