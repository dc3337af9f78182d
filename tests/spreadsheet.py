"""A spreadsheet in small: works the formulas of a workbook out again from its other cells.

It knows the functions purfle writes and no other: SUM over a block of cells, SUMIF over two columns, + and −, references to a cell of the same or another
sheet, plain numbers.
Formulas are taken apart by openpyxl's own tokenizer (its grammar is that of ECMA-376, part 1, 18.17). Whatever else stands in one is refused.
Invariant: never reads the result that the workbook keeps beside a formula.
"""

from decimal import Decimal

from openpyxl.cell import Cell
from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token
from openpyxl.utils.cell import range_boundaries
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet


class Refused(Exception):
    """A formula holds what this spreadsheet does not know."""


def worked_out(book: Workbook, sheet: Worksheet, formula: str) -> Decimal:
    """What a formula of a sheet comes to, by the cells it names. Raises Refused."""
    tokens = [token for token in Tokenizer(formula).items if token.type != Token.WSPACE]
    total, sign, ready = Decimal(0), 1, False
    while tokens:
        token = tokens.pop(0)
        if token.type in (Token.OP_IN, Token.OP_PRE) and token.value in ("+", "-") and ready == (token.type == Token.OP_IN):
            sign, ready = (1 if token.value == "+" else -1), False
        elif not ready:
            total, ready = total + sign * _operand(book, sheet, token, tokens), True
        else:
            raise Refused(f"{token.value} in {formula}")
    if not ready:
        raise Refused(f"{formula} ends too early")
    return total


def _operand(book: Workbook, sheet: Worksheet, token: Token, rest: list[Token]) -> Decimal:
    if token.type == Token.OPERAND and token.subtype == Token.NUMBER:
        return Decimal(token.value)
    if token.type == Token.OPERAND and token.subtype == Token.RANGE:
        cells = _cells(book, sheet, token.value)
        if len(cells) == 1:
            return _number(book, cells[0])
    if token.type == Token.FUNC and token.value == "SUM(" and len(rest) > 1 and rest[0].subtype == Token.RANGE and rest[1].value == ")":
        block = _cells(book, sheet, rest.pop(0).value)
        rest.pop(0)
        # words and empty cells of a block count for nothing (ECMA-376, part 1, 18.17.7, SUM)
        return sum((_number(book, cell) for cell in block if cell.value is not None and (cell.data_type in "nf")), Decimal(0))
    if token.type == Token.FUNC and token.value == "SUMIF(" and [t.type for t in rest[:6]] == _THREE:
        looked_at, sought, summed = (_cells(book, sheet, rest[n].value) for n in (0, 2, 4))
        del rest[:6]
        return _sum_if(book, looked_at, sought, summed)
    raise Refused(f"{token.value}, a {token.type.lower()}")


_THREE = [Token.OPERAND, Token.SEP, Token.OPERAND, Token.SEP, Token.OPERAND, Token.FUNC]
"""Three references between separators, and the bracket that closes."""


def _sum_if(book: Workbook, looked_at: list[Cell], sought: list[Cell], summed: list[Cell]) -> Decimal:
    """The sum beside cells equal to the one sought, in whatever case; patterns and comparisons are refused (ECMA-376, part 1, 18.17.7, SUMIF)."""
    if len(sought) != 1 or len(looked_at) != len(summed) or not str(sought[0].value)[:1].isalpha() or set("*?~") & set(str(sought[0].value)):
        raise Refused(f"SUMIF for {sought[0].value!r}")
    word = str(sought[0].value).casefold()
    return sum((_number(book, beside) for cell, beside in zip(looked_at, summed, strict=True) if str(cell.value or "").casefold() == word), Decimal(0))


def _cells(book: Workbook, sheet: Worksheet, reference: str) -> list[Cell]:
    name, _, block = reference.rpartition("!")
    where = book[name.strip("'")] if name else sheet
    left, top, right, bottom = range_boundaries(block)
    return [cell for row in where.iter_rows(top, bottom, left, right) for cell in row]


def _number(book: Workbook, cell: Cell) -> Decimal:
    if cell.data_type == "f":
        return worked_out(book, cell.parent, cell.value)
    if cell.data_type != "n":
        raise Refused(f"{cell.coordinate} holds {cell.value!r}, no number")
    return Decimal(str(cell.value or 0))
