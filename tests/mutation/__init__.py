"""Mutants: small faults put into the program one at a time, to see whether a test notices.

``python -m tests.mutation --sample 50 --seed 1``. Each room has its own few tests, and the sample
is drawn over all rooms. (Libraries for this were not tried.)
"""
