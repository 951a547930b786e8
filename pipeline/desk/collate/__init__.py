"""Collation: what other sources have, put into the text of the first.

``collating`` holds one piece against another, bar by bar (``pairs``), at a chosen level of difference (``views``), and
puts what differs into the text (``readings``): a label at a sign or an event where little differs, the whole bar where
much does. ``taking`` goes the other way, from a collated text to what one of its sources has. Collating proves itself:
what is taken out of the new text again must be what the source has, or nothing is written.
"""
