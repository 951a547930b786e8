"""Laws over any input at all, looked for and made small by Hypothesis: the promises of ``tests/fuzz/targets.py``."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.fuzz import seeds
from tests.fuzz.targets import TARGETS

_SLOW = (HealthCheck.too_slow, HealthCheck.data_too_large)


def _of_words(target: str, lead: bytes = b"") -> st.SearchStrategy[bytes]:
    """Any bytes; words of the target's format; one of its seeds with a few words thrown in."""
    words = st.sampled_from(seeds.words_for(target))
    scraps = st.lists(words, max_size=40).map(lambda found: lead + b"".join(found))
    slips = st.tuples(st.sampled_from(TARGETS[target].seeds()), st.integers(0, 2000), words, st.integers(0, 8)).map(
        lambda slip: slip[0][: slip[1]] + slip[2] + slip[0][slip[1] + slip[3] :]
    )
    return st.one_of(st.binary(max_size=400), scraps, slips)


@given(_of_words("reading", b"longneck 1\ninstrument theorbo in A\n\n| "))
@settings(max_examples=200, deadline=None, suppress_health_check=_SLOW)
def test_any_text_is_read_and_tidied(data: bytes) -> None:
    TARGETS["reading"].run(data)


@given(_of_words("check", b"longneck 1\ninstrument theorbo in A\nmetre C\n\n| 1=3:2 "))
@settings(max_examples=60, deadline=None, suppress_health_check=_SLOW)
def test_any_text_is_checked_and_built(data: bytes) -> None:
    TARGETS["check"].run(data)
    TARGETS["build"].run(data)


@given(_of_words("heading", b"longneck 1\n"))
@settings(max_examples=150, deadline=None, suppress_health_check=_SLOW)
def test_any_lines_may_stand_in_a_heading(data: bytes) -> None:
    TARGETS["heading"].run(data)


@given(_of_words("voice"))
@settings(max_examples=60, deadline=None, suppress_health_check=_SLOW)
def test_any_bytes_may_stand_in_a_notation_file(data: bytes) -> None:
    TARGETS["voice"].run(data)


@given(_of_words("records"), _of_words("image"))
@settings(max_examples=300, deadline=None, suppress_health_check=_SLOW)
def test_any_bytes_may_stand_where_a_build_left_something(record: bytes, image: bytes) -> None:
    TARGETS["records"].run(record)
    TARGETS["image"].run(image)


@given(st.one_of(st.binary(max_size=40), _of_words("options")))
@settings(max_examples=300, deadline=None)
def test_any_word_may_be_typed_for_an_option(data: bytes) -> None:
    TARGETS["options"].run(data)
