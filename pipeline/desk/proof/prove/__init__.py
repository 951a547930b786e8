"""What a proof page needs to know of a piece: where its signs are typed, what is marked and why, what is heard."""

from pipeline.desk.proof.prove.answers import Answers
from pipeline.desk.proof.prove.heard import heard_bars
from pipeline.desk.proof.prove.marks import marked_places
from pipeline.desk.proof.prove.places import PlaceFinder, typed_bars
from pipeline.desk.proof.prove.weak import weak_bars

__all__ = ["Answers", "PlaceFinder", "heard_bars", "marked_places", "typed_bars", "weak_bars"]
