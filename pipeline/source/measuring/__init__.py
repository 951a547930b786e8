"""Measuring bars: which do not add up, what may excuse them, and which single change would mend one.

The check of bar lengths tells of them, the search for misprints weighs what mends them; both look here.
"""
