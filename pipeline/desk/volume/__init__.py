"""A folder as a book: every piece made into a leaf, the leaves planned as a volume, written as one PDF and one site.

``leaf`` makes one piece, pure and by itself, so that the work can be shared out and one bad piece stops no other;
``prose`` reads the texts of the book; ``plan`` says what stands on which page; ``writers`` set it.
"""
