"""How two pieces differ in music, bar by bar, whatever the way in which they are typed.

Bars are aligned thus: equal beginnings and ends off; bars (or, in long stretches, runs of 2, 4, 8) that occur once on
both sides are anchors, in the longest rising order; between anchors the cheapest pairing by likeness, in a band of 16
cells beside the diagonal where the table would be large. Sides are put in an order of their own before aligning, so
comparing b with a mirrors comparing a with b.
"""

from pipeline.desk.compare.differ.piece import differences

__all__ = ["differences"]
