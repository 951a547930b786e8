"""Mutants: small faults put into the program one at a time, to see whether a test notices.

``python -m tests.mutation --sample 50 --seed 1``. Kept libraries were left aside: they run every mutant against one
command, where here each room has its own few tests and a seeded sample is wanted over all rooms.
"""
