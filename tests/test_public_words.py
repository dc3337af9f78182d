"""Every sentence of `cases/public_words` is judged as it stands there, but those that are known to be judged wrongly."""

import pytest
from public_words import FILES, cases

CASES = [case for file in FILES for case in cases(file)]


@pytest.mark.parametrize(
    "case",
    [
        pytest.param(
            case,
            id=f"{case.file}: {case.sentence}",
            marks=pytest.mark.xfail(strict=True, raises=AssertionError, reason="known to be judged wrongly") if case.is_known else (),
        )
        for case in CASES
    ],
)
def test_a_sentence_is_judged_as_a_person_reads_it(case):
    assert bool(case.holds()) is case.gives_away


@pytest.mark.parametrize("case", {case.about + case.file: case for case in CASES}.values(), ids=lambda case: f"{case.file}: {case.about}")
def test_the_shop_that_the_sentences_are_read_against_is_sound(case):
    assert case.holds("Two thin coats.") == []


def test_the_sentences_are_many_of_both_sorts_and_none_stands_twice():
    for gives_away in (True, False):
        assert sum(case.gives_away is gives_away for case in CASES) > 400
    assert len({(case.about, case.file, case.sentence) for case in CASES}) == len(CASES)
