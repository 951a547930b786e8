"""The program's own text faces: measured by, set in, cut down to what a page shows and put into it.

``store`` reads the files of the faces, ``setting`` and ``words`` say which face sets a text, where and how wide; the
engraver's blocks, the PDF and the pages all measure by them. ``woff2`` cuts a face down to some characters, ``embed``
writes the rules that bring faces along in a style sheet. ``letters`` finishes an SVG page: faces for browsers, in which
text can be chosen, and the same letters as outlines for rsvg, resvg and their like, which read no faces from a page.
Those pass over ``@supports``, and browsers read it: so each draws one of the two. ``lost`` tells of characters that no
face has.
"""

from pipeline.writers.faces.embed import FAMILY, face_rules
from pipeline.writers.faces.letters import Lettered, lettered
from pipeline.writers.faces.lost import lost_characters
from pipeline.writers.faces.setting import MISSING, UPRIGHT, set_in, width

__all__ = ["FAMILY", "MISSING", "UPRIGHT", "Lettered", "face_rules", "lettered", "lost_characters", "set_in", "width"]
