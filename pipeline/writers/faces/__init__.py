"""The program's own faces: measured by, set in, cut down to what a page shows and put into it."""

from pipeline.writers.faces.embed import FAMILY, face_rules
from pipeline.writers.faces.letters import Lettered, lettered
from pipeline.writers.faces.lost import lost_characters
from pipeline.writers.faces.setting import MISSING, UPRIGHT, set_in, width

__all__ = ["FAMILY", "MISSING", "UPRIGHT", "Lettered", "face_rules", "lettered", "lost_characters", "set_in", "width"]
