"""Every trouble: told at its place, with its cause and its mend, and nothing else told."""

import pytest
from cases import CASES, read_case

from purfle.base.codes import CODES
from purfle.compile import Analysis


def check(path):
    """The troubles of a case are those it marks, in order, and no other."""
    case = read_case(path)
    told = Analysis(case.files, frozenset(case.assets), case.today).troubles
    seen = [((t.place.file, t.place.line, t.place.column), t.code) for t in told]
    assert seen == list(zip(case.places, (e.code for e in case.expected), strict=True)), "\n".join(map(str, told))
    for trouble, expected in zip(told, case.expected, strict=True):
        assert expected.found in (None, trouble.found)
        assert expected.mend in (None, trouble.mend)


@pytest.mark.parametrize("path", sorted(CASES.glob("*.case")), ids=lambda path: path.stem)
def test_case(path):
    check(path)
