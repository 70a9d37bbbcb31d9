"""Sheets as pages and as PDF: hostile titles, long tables, columns, and what may not stand in them."""

from __future__ import annotations

import re
from io import BytesIO

import html5lib
import pytest
from matplotlib.figure import Figure
from pypdf import PdfReader

from lifecycle.answers.blocks import (
    Answer,
    Block,
    Columns,
    Drawing,
    Handwriting,
    Heading,
    Items,
    PageBreak,
    Sentence,
    Table,
)
from lifecycle.writers import pdf
from lifecycle.writers.html import as_html
from lifecycle.writers.pdf import as_pdf

HOSTILE = {
    "marks": "\"><script>alert('x')</script><b>&amp;",
    "emoji": "our coach \U0001f69a\U0001f3fd\u200d\u2640\ufe0f ready",
    "right to left": "הגג שלנו and سقف",
    "turned": "abc\u202etxt.exe",
    "control": "a\x00b\x07c\x1bd",
    "long": "x" * 500,
    "long words": "roof and deck " * 36,
    "half": "a\ud800b",
    "dollars": "$5 and $6, 100 % _sub^",
}


def text_of(content: bytes) -> str:
    """Return the text of a PDF."""
    return "".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages)


@pytest.mark.parametrize("title", HOSTILE.values(), ids=HOSTILE)
def test_a_title_of_any_kind_is_escaped_and_laid_out(title: str) -> None:
    rows = ((title, "1"),)
    blocks: tuple[Block, ...] = (Heading(title), Sentence(title, "verdict"), Items((title,)))
    sheet = Answer(title, title, (*blocks, Table((title, "n"), rows, title, title, (1,))), title)
    page = as_html(sheet)
    document = html5lib.HTMLParser(strict=True).parse(page)
    assert not [element for element in document.iter() if str(element.tag).endswith(("script", "}b"))]
    assert not re.search("[\x00-\x08\x0b-\x1f\u202a-\u202e\ud800-\udfff]", page)
    for size in ("a4", "letter"):
        reader = PdfReader(BytesIO(as_pdf(sheet, paper=size)))  # type: ignore[arg-type]
        assert len(reader.pages) == 1
        assert reader.pages[0].extract_text().strip()


def test_right_to_left_is_put_in_the_order_in_which_it_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """The reader turns what is seen from right to left back into the order of reading."""
    sheet = Answer("הגג שלנו", "", ())
    assert "הגג שלנו" in text_of(as_pdf(sheet))
    monkeypatch.setattr(pdf, "_as_seen", lambda line: line)
    assert "ונלש גגה" in text_of(as_pdf(sheet))


def test_letters_that_the_typeface_lacks_become_a_question_mark() -> None:
    assert "a ? b" in text_of(as_pdf(Answer("a \u4e00 b", "", ())))


def test_a_line_stays_within_its_column() -> None:
    wide = "word " * 60
    sheet = Answer("t", "", (Columns((Sentence("left " + wide),), (Sentence("right " + wide),)),))
    boxes: list[float] = []

    def visit(text: str, _: object, matrix: list[float], *__: object) -> None:
        if text.strip() and text.strip() != "t":
            boxes.append(matrix[4])

    PdfReader(BytesIO(as_pdf(sheet))).pages[0].extract_text(visitor_text=visit)
    assert len({round(left) for left in boxes}) == 2


def test_a_table_takes_its_heads_to_the_next_page() -> None:
    rows = tuple((f"row {number}", str(number)) for number in range(150))
    content = as_pdf(Answer("t", "", (Table(("name", "number"), rows, "A caption", numbers=(1,)),)))
    pages = [page.extract_text() for page in PdfReader(BytesIO(content)).pages]
    assert len(pages) > 1
    assert all("number" in page for page in pages)
    assert sum(page.count("A caption") for page in pages) == 1
    for number in range(150):
        assert sum(bool(re.search(rf"\brow {number}\b", page)) for page in pages) == 1


def test_columns_too_high_for_a_page_stand_one_below_the_other() -> None:
    lines = tuple(f"line {number}" for number in range(120))
    content = as_pdf(Answer("t", "", (Columns((Items(lines),), (Sentence("the right side"),)),)))
    text = text_of(content)
    assert "line 119" in text and text.index("line 119") < text.index("the right side")


def test_a_page_break_begins_a_page_and_a_heading_does_not_end_one() -> None:
    filler = tuple(Sentence(f"sentence {number}") for number in range(200))
    pages = [
        page.extract_text().strip()
        for page in PdfReader(
            BytesIO(as_pdf(Answer("t", "", (Sentence("a"), PageBreak(), Heading("After"), *filler))))
        ).pages
    ]
    assert pages[1].startswith("After")
    headed = tuple(block for number in range(80) for block in (Heading(f"H{number}"), Sentence("s " * 300)))
    for page in PdfReader(BytesIO(as_pdf(Answer("t", "", headed)))).pages:
        assert not re.search(r"H\d+\s*$", page.extract_text().strip())


def test_drawings_of_one_page_share_letters_and_have_their_sentence() -> None:
    figures = []
    for _ in range(2):
        figure = Figure()
        figure.add_subplot().set_title("same letters")
        figures.append(Drawing(figure, alt='He said "this" & <that>', caption="below"))
    page = as_html(Answer("t", "", tuple(figures)))
    html5lib.HTMLParser(strict=True).parse(page)
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert ids and len(ids) == len(set(ids))
    assert page.count('aria-label="He said &#34;this&#34; &amp; &lt;that&gt;"') == 2
    assert "http" not in page


def test_a_row_without_a_cell_for_each_head_is_refused() -> None:
    with pytest.raises(ValueError, match="every row needs 2 cells"):
        Table(("a", "b"), (("1",),))


def test_room_for_a_pen_is_as_many_lines_as_wanted() -> None:
    assert as_html(Answer("t", "", (Handwriting("Notes", 3),))).count("<span></span>") == 3
