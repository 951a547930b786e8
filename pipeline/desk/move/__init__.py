"""The player's tablature for another key or another instrument: fingering found anew, everything else as typed.

``asked`` is what is wanted, ``tasks`` turn a piece into chords to be placed, ``scale`` tunes the diapasons, ``search``
finds the places, ``rewrite`` types them. Nothing is read into the music that the edition does not read.
"""
