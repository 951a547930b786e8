"""Goldens: the scores of the anthology and of the faulty pieces as text, kept beside the tests.

``python -m tests.goldens`` shows what has changed, ``python -m tests.goldens --renew`` keeps the new state once it has
been looked at. Nothing else writes them.
"""
