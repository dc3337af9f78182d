"""What was meant where YAML gave up: the slip, told in a builder's words and at its own place.

libyaml stops where it can't go on, which is often a line or more after the slip, and in words of its own.
Invariant: looks at the text alone; mends nothing.
"""

from collections.abc import Callable, Collection

from purfle.notes.frontmatter import slips_of_keys as keys
from purfle.notes.frontmatter import slips_of_marks as marks
from purfle.notes.frontmatter.slip import Slip, Stop


def slip_in(lines: list[str], line: int, column: int, problem: str, known: Collection[str], inner: Collection[str] = ()) -> Slip:
    """The slip in a text that YAML gave up on at a line and column, as near as can be told.

    `known` are the words of the keys that may stand in its first column, `inner` those that may stand further in.
    """
    line = min(line, max(len(lines) - 1, 0))
    here = lines[line] if lines else ""
    stop = Stop(lines, line, column, here, frozenset(known), frozenset(inner))
    for look in _LOOKS:
        if found := look(stop):
            return found
    return stop.slip(column, f"the frontmatter is not readable here ({problem})", "check the quotes, brackets and indentation of this line and the one above")


_LOOKS: tuple[Callable[[Stop], Slip | None], ...] = (
    keys.tab,
    keys.half_a_key,
    marks.round_,
    marks.not_known_yet,
    marks.shown,
    marks.comma_behind,
    marks.behind_bracket,
    marks.twice,
    marks.before_value,
    marks.odd_start,
    marks.quote_in_quotes,
    keys.further_in,
    keys.second_colon,
    marks.no_comma,
    marks.bracket_in_value,
    marks.open_quote,
    marks.never_closed,
    keys.set_in,
)
