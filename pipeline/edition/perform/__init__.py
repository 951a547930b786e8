"""Perform: from the reading to what is heard when somebody practises with it."""

from pipeline.edition.perform.piece import CROTCHETS, perform

__all__ = ["CROTCHETS", "perform"]
