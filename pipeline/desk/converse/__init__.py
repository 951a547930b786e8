"""What a text editor is told of a piece while it is typed: answers to its questions, as records of plain data.

``look`` reads the signs, in a tenth of a second; ``insight`` is what the reading of voices adds some seconds later.
Every other module answers one kind of question from the two: findings that still stand (``standing``), what stands at
a place (``hover``), what may be typed next (``choices``), the shape of the piece (``outline``), what leads where
(``leads``), pitches between the lines (``pitches``), and changes of the text (``fixes``, ``pins``, ``rewriting``).
Places are lines and columns as everywhere in the project; ``units`` turns them into those of the protocol and back.
"""
