"""The fret template at true size: printed to PDF by Debian's chromium and measured in the file's own drawing.

pdfminer.six reads the PDF: it knows nothing of our pages. Without chromium these tests are skipped and say so;
PURFLE_NEED_BROWSER=1 makes its absence a failure.
"""

import os
import shutil
import subprocess

import pytest
from shop_texts import put
from test_sheets_shop import GUITAR, SHOP, analysis

from purfle.pages.office import office_templates, pages_of
from purfle.pages.site_files import packaged
from purfle.sites import office_view
from purfle.views.office_troubles import Held

CHROMIUM = shutil.which("chromium")
NEEDED = os.environ.get("PURFLE_NEED_BROWSER") == "1"
pytestmark = [pytest.mark.browser, pytest.mark.skipif(not CHROMIUM and not NEEDED, reason="chromium is not installed (Debian: apt install chromium)")]

MM = 25.4 / 72
"""A PDF's unit is 1/72 in (ISO 32000-1, 8.3.2.3)."""
TENTH = 0.1
BOARDS = {
    # scale as written, millimetres, frets, paper, its size in millimetres (ISO 216; ANSI/ASME Y14.1)
    "guitar": ("25.5 in", 647.7, 22, "A4", (210, 297)),
    "metric": ("648 mm", 648.0, 24, "letter", (215.9, 279.4)),
    "bass": ("34 in", 863.6, 24, "letter", (215.9, 279.4)),
    "short": ("16 in", 406.4, 24, "A4", (210, 297)),
}


def printed(folder, scale, frets, paper):
    """The PDF of a template, printed as a person would from the command line."""
    sheet = GUITAR.replace("25.5 in", scale).replace("frets: 22", f"frets: {frets}")
    a = analysis(sheet, SHOP.replace("target_margin", f"sheets: {{paper: {paper}}}\ntarget_margin"), {})
    assert not a.troubles
    view = office_view(a, a.troubles, Held())
    put(folder, pages_of(view, office_templates(packaged("office"), "en_US")))
    pdf = folder / "template.pdf"
    flags = ["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-pdf-header-footer", f"--user-data-dir={folder / 'profile'}"]
    page = (folder / "sheets/heron-frets.html").as_uri()
    subprocess.run([CHROMIUM or "chromium", *flags, f"--print-to-pdf={pdf}", page], check=True, capture_output=True, timeout=120)
    return pdf


def strokes(pdf):
    """For each page its size and every stroke drawn on it: left, top, right, bottom in millimetres from the page's top left."""
    from pdfminer.high_level import extract_pages
    from pdfminer.layout import LTCurve

    found = []
    for page in extract_pages(pdf, laparams=None):
        boxes = [shape.bbox for shape in page if isinstance(shape, LTCurve)]
        lines = [(x0 * MM, (page.height - y1) * MM, x1 * MM, (page.height - y0) * MM) for x0, y0, x1, y1 in boxes]
        found.append(((page.width * MM, page.height * MM), lines))
    return found


@pytest.fixture(scope="module", params=BOARDS)
def board(request, tmp_path_factory):
    scale, mm, frets, paper, size = BOARDS[request.param]
    return mm, frets, size, strokes(printed(tmp_path_factory.mktemp(request.param), scale, frets, paper))


def level(lines, shortest, longest):
    """The middles of level strokes of a length, from the top down."""
    return sorted((y0 + y1) / 2 for x0, y0, x1, y1 in lines if y1 - y0 < 1 and shortest < x1 - x0 < longest)


def joints(lines):
    """The registration crosses: level strokes of 10 mm, two at each joint."""
    return sorted({round(y, 2) for y in level(lines, 9.9, 10.1)})


def test_the_paper_is_what_the_shop_asked_for(board):
    _, _, size, pages = board
    assert all(seen == pytest.approx(size, abs=0.5) for seen, _ in pages)


def test_the_check_rulers_are_true(board):
    for _, lines in board[3]:
        ticks = [
            [(y0 + y1) / 2 for x0, y0, x1, y1 in lines if y1 - y0 < 1 and x1 - x0 == pytest.approx(4, abs=0.05) and abs(x1 - right) < 3] for right in (170, 182)
        ]
        metric, inches = (sorted(each) for each in ticks)
        assert len(metric) == 11 and metric[-1] - metric[0] == pytest.approx(100, abs=TENTH)
        assert len(inches) == 5 and inches[-1] - inches[0] == pytest.approx(4 * 25.4, abs=TENTH)


def test_every_fret_lies_where_it_should_across_all_sheets(board):
    """Sheets laid together at their registration marks: 1 − 2^(−n ÷ 12) of the scale, to a tenth of a millimetre."""
    scale, frets, _, pages = board
    seen, laid = [], 0.0
    for n, (_, lines) in enumerate(pages):
        marks = joints(lines)
        assert len(marks) == (n > 0) + (n + 1 < len(pages))
        across = level(lines, 40, 60)
        origin = across[0] if n == 0 else marks[0] - laid
        seen += [y - origin for y in across]
        laid = marks[-1] - origin if marks else laid
    wanted = [scale * (1 - 2 ** (-n / 12)) for n in range(frets + 1)]
    for at in wanted:
        assert min(abs(at - y) for y in seen) < TENTH
    assert all(min(abs(at - y) for at in wanted) < TENTH for y in seen), "a line that is no fret"
    assert len(pages) > 1


def test_the_board_has_its_widths(board):
    """The nut line is 43 mm and the last fret's 56, as the sheet says."""
    _, _, _, pages = board
    first = min((line for line in pages[0][1] if 40 < line[2] - line[0] < 60 and line[3] - line[1] < 1), key=lambda line: line[1])
    last = max((line for line in pages[-1][1] if 40 < line[2] - line[0] < 60 and line[3] - line[1] < 1), key=lambda line: line[1])
    assert first[2] - first[0] == pytest.approx(43, abs=TENTH) and last[2] - last[0] == pytest.approx(56, abs=TENTH)
