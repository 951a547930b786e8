"""Perform: from the reading to what is heard when somebody practises with it."""

from pipeline.edition.perform.pace import CROTCHETS
from pipeline.edition.perform.piece import perform

__all__ = ["CROTCHETS", "perform"]
