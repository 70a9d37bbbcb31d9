"""A sheet as one page: no script, no outside address, readable on a phone, printed on A4 or Letter.

Lecture
-------
The page is complete in itself: its style stands in its head, its drawings are SVG within it. Drawings
of one page share their letters, for the same letter would otherwise be drawn anew in each; so the page
is small and no name stands in it twice. Every text is escaped. A title has the direction of its
first letter.

Print: the paper's own size, lengths in mm and pt. Screen: one column on a phone, and whatever is wider
than the screen (a table) scrolls by itself. Nothing is told by colour alone.

Left out: dark themes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from html import escape

from lifecycle.answers.blocks import (
    Answer,
    Block,
    Columns,
    Drawing,
    Handwriting,
    Heading,
    Items,
    PageBreak,
    Rest,
    Sentence,
    Table,
    seen,
)
from lifecycle.charts.palette import FAINT, GROUND, INK, QUIET, SPRAY

TINT, SHADE = "#f3f4f8", "#dfe0e6"
"""Ground of what stands out; of cells on grey."""

WIDE = 4
"""Columns of words from which a table keeps its width on a phone, and scrolls."""

STYLE = f"""
*{{box-sizing:border-box}}
html{{-webkit-text-size-adjust:100%}}
body{{margin:0;background:{GROUND};color:{INK};font:1rem/1.45 system-ui,"Segoe UI","DejaVu Sans",sans-serif;
overflow-wrap:anywhere}}
main{{max-width:60rem;margin:0 auto;padding:1rem 1rem 3rem}}
h1{{font-size:1.6rem;line-height:1.2;margin:.2rem 0 .1rem}}
h2{{font-size:1.15rem;line-height:1.25;margin:1.6rem 0 .4rem;padding-top:.35rem;border-top:2px solid {INK}}}
h3{{font-size:1rem;line-height:1.3;margin:1rem 0 .3rem}}
p,ul,ol{{margin:.35rem 0}}
ul,ol{{padding-left:1.3rem}}
.bare{{list-style:none;padding-left:0}}
.subtitle{{color:{QUIET};margin:0 0 .6rem}}
.verdict{{background:{TINT};border-left:.35rem solid {INK};padding:.5rem .8rem;margin:.5rem 0;
font-size:1.1rem;font-weight:600}}
.verdict+.verdict{{margin-top:-.5rem;font-size:1rem;font-weight:400;padding-top:.1rem}}
.note,.table-note,figcaption,footer{{color:{QUIET};font-size:.875rem}}
.caution{{border:1px solid {INK};border-left-width:.35rem;padding:.35rem .7rem}}
.scroll{{overflow-x:auto;margin:.5rem 0}}
table{{border-collapse:collapse;width:100%;font-size:.9rem;line-height:1.3}}
caption{{text-align:left;font-weight:600;padding:.2rem 0 .3rem}}
th,td{{text-align:left;vertical-align:top;padding:.2rem .5rem .2rem 0;border-bottom:1px solid {FAINT};
overflow-wrap:break-word}}
thead th{{border-bottom:1.5px solid {INK};vertical-align:bottom}}
tbody th{{font-weight:400}}
.number{{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}}
.wraps,thead .number{{white-space:normal}}
.bar{{display:block;height:.5em;border:1px solid {INK};width:100%;min-width:2em}}
.bar>span{{display:block;height:100%;background:{SPRAY.colour};print-color-adjust:exact}}
.shaded{{background:{SHADE};print-color-adjust:exact;-webkit-print-color-adjust:exact}}
.strong>*{{font-weight:700;background:{TINT}}}
figure{{margin:.6rem 0}}
svg{{display:block;width:100%;height:auto;max-width:44rem}}
svg *{{stroke-linejoin:round;stroke-linecap:butt}}
.columns{{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,1fr);gap:0 2rem}}
.columns>div>:first-child{{margin-top:.6rem}}
.pen{{margin:.6rem 0}}
.pen span{{display:block;border-bottom:1px solid {QUIET};height:2rem}}
footer{{margin-top:2rem;border-top:1px solid {QUIET};padding-top:.4rem}}
@media (max-width:46rem){{
.columns{{display:block}}
th,td{{padding-right:.4rem}}
.wide{{min-width:36rem}}
caption{{max-width:calc(100vw - 2rem)}}
}}
@media print{{
@page{{margin:10mm}}
html,body{{font-size:SIZEpt}}
body{{line-height:1.2;font-family:"DejaVu Sans",system-ui,sans-serif}}
main{{max-width:none;padding:0}}
h1{{font-size:1.6em;margin-top:0}}
h2{{margin:.8em 0 .25em;padding-top:.2em;border-top-width:.4mm}}
h3{{margin:.6em 0 .2em}}
h1,h2,h3,caption{{break-after:avoid}}
p,ul,ol{{margin:.2em 0}}
.verdict{{padding:1mm 2mm;margin:1mm 0;print-color-adjust:exact;-webkit-print-color-adjust:exact}}
.verdict+.verdict{{margin-top:-1mm}}
table{{font-size:.9em;line-height:1.18}}
th,td{{padding:.3mm 1.5mm .3mm 0}}
tr,figure,.caution,.pen,li{{break-inside:avoid}}
.note,.table-note,figcaption,footer{{font-size:.88em}}
.scroll{{overflow:visible;margin:1mm 0}}
figure{{margin:1mm 0}}
svg{{width:calc(var(--share)*100%);max-width:none}}
.columns{{display:grid;gap:0 6mm}}
.new-page{{break-before:page}}
.pen span{{height:7mm}}
footer{{margin-top:2mm}}
}}
"""
"""Style of every page; SIZE stands for the size of the text in print."""


def as_html(sheet: Answer) -> str:
    """Return a sheet as one page.

    Examples
    --------
    >>> page = as_html(Answer("Us & <them>", "", (Sentence("Spray now: dearer.", "verdict"),)))
    >>> "Us &amp; &lt;them&gt;" in page, '<p class="verdict">Spray now: dearer.</p>' in page
    (True, True)
    """
    body = "\n".join(_blocks(sheet.blocks))
    subtitle = f'\n<p class="subtitle" dir="auto">{_text(sheet.subtitle)}</p>' if sheet.subtitle else ""
    footer = f'\n<footer dir="auto">{_text(sheet.footer)}</footer>' if sheet.footer else ""
    heads = ": ".join(_text(part) for part in (sheet.title, sheet.subtitle) if part)
    style = STYLE.replace("SIZE", f"{sheet.text_size:g}")
    page = (
        f'<!DOCTYPE html>\n<html lang="{_text(sheet.language)}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{heads}</title>\n<style>{style}</style>\n</head>\n<body>\n<main>\n"
        f'<header>\n<h1 dir="auto">{_text(sheet.title)}</h1>{subtitle}\n</header>\n'
        f"{body}{footer}\n</main>\n</body>\n</html>\n"
    )
    return _letters_once(page)


def as_parts(blocks: Iterable[Block]) -> str:
    r"""Return blocks as HTML for a page that has a head and a style of its own.

    Examples
    --------
    >>> as_parts([Heading("Us & them", 3), Items(("a", "b"))])
    '<h3 dir="auto">Us &amp; them</h3>\n<ul>\n<li>a</li>\n<li>b</li>\n</ul>'
    """
    return _letters_once("\n".join(_blocks(blocks)))


def _text(text: str) -> str:
    """Return a text escaped."""
    return escape(seen(text))


def _blocks(blocks: Iterable[Block]) -> Iterator[str]:
    """Return each block as HTML; what follows a page break is told to begin a page."""
    new_page = False
    for block in blocks:
        if isinstance(block, PageBreak):
            new_page = True
            continue
        if isinstance(block, Rest):
            continue
        written = _block(block)
        yield f'<div class="new-page">\n{written}\n</div>' if new_page else written
        new_page = False


def _block(block: Block) -> str:
    """Return one block as HTML."""
    match block:
        case Heading():
            return f'<h{block.level} dir="auto">{_text(block.text)}</h{block.level}>'
        case Sentence():
            kind = "" if block.kind == "plain" else f' class="{block.kind}"'
            return f"<p{kind}>{_text(block.text)}</p>"
        case Items():
            tag = "ol" if block.numbered else "ul"
            lines = "\n".join(f"<li>{_text(line)}</li>" for line in block.lines)
            kind = "" if block.marks else ' class="bare"'
            return f"<{tag}{kind}>\n{lines}\n</{tag}>"
        case Table():
            return _table(block)
        case Drawing():
            return _drawing(block)
        case Handwriting():
            lines = "<span></span>" * block.lines
            return f'<div class="pen">{_text(block.label)}{lines}</div>'
        case Columns():
            left, right = ("\n".join(_blocks(side)) for side in (block.left, block.right))
            return f'<div class="columns">\n<div>\n{left}\n</div>\n<div>\n{right}\n</div>\n</div>'
        case PageBreak() | Rest():
            return ""


def _table(table: Table) -> str:
    """Return a table as HTML."""
    caption = f"<caption>{_text(table.caption)}</caption>\n" if table.caption else ""
    heads = "".join(
        f'<th scope="col"{_cell_class(table, None, column)}>{_text(head)}</th>' if head else "<td></td>"
        for column, head in enumerate(table.head)
    )
    rows = []
    for place, row in enumerate(table.rows):
        cells = [
            f"<td{_cell_class(table, place, column)}>{_text(cell)}{_bar(table, column, cell)}</td>"
            for column, cell in enumerate(row)
        ]
        if table.row_heads:
            cells[0] = f'<th scope="row">{_text(row[0])}</th>'
        strong = ' class="strong"' if place in table.strong else ""
        rows.append(f"<tr{strong}>{''.join(cells)}</tr>")
    note = f'\n<p class="table-note">{_text(table.note)}</p>' if table.note else ""
    body = "\n".join(rows)
    wide = ' class="wide"' if len(table.head) - len(table.numbers) >= WIDE else ""
    return (
        f'<div class="scroll">\n<table{wide}>\n{caption}<thead>\n<tr>{heads}</tr>\n</thead>\n'
        f"<tbody>\n{body}\n</tbody>\n</table>\n</div>{note}"
    )


def _cell_class(table: Table, row: int | None, column: int) -> str:
    """Return how a cell looks: a number, one that may wrap, on grey."""
    number = ["number"] if column in table.numbers else []
    wraps = ["wraps"] if number and table.wraps else []
    shaded = ["shaded"] if (row, column) in table.shaded else []
    names = " ".join([*number, *wraps, *shaded])
    return f' class="{names}"' if names else ""


def _bar(table: Table, column: int, cell: str) -> str:
    """Return the bar beside a number, filled so far."""
    if not table.bars or column not in table.numbers:
        return ""
    share = 100.0 * min(1.0, float(cell) / table.bars)
    return f'<span class="bar" aria-hidden="true"><span style="width:{share:g}%"></span></span>'


def _drawing(drawing: Drawing) -> str:
    """Return a drawing as a figure with its sentence."""
    from lifecycle.charts.small import picture_bytes

    sentence = _text(drawing.sentence)
    picture = _plain_svg(picture_bytes(drawing.figure, "svg").decode("utf-8"), sentence)
    caption = f"\n<figcaption>{_text(drawing.caption)}</figcaption>" if drawing.caption else ""
    share = f"{min(1.0, max(0.05, drawing.share)):g}"
    return f'<figure style="--share:{share}">\n{picture}{caption}\n</figure>'


def _plain_svg(svg: str, sentence: str) -> str:
    """Return an SVG file as it stands within a page: no addresses, no data about data, its sentence."""
    inner = svg[svg.index("<svg") :]
    box = re.search(r'viewBox="([^"]*)"', inner)
    inner = inner[inner.index(">") + 1 :]
    inner = re.sub(r"<metadata>.*?</metadata>|<title>.*?</title>|<!--.*?-->", "", inner, flags=re.DOTALL)
    inner = re.sub(r"<style\b.*?</style>", "", inner, flags=re.DOTALL)
    inner = inner.replace("xlink:href=", "href=")
    inner = re.sub(r' d="[^"]*"', lambda path: re.sub(r"(\.\d)\d+", r"\1", path[0]), inner)
    inner = re.sub(r'<g id="[^"]*"', "<g", inner)
    inner = re.sub(r"\n\s*", "\n", inner)
    start = f'<svg role="img" aria-label="{sentence}" viewBox="{box[1] if box else ""}">'
    return start + inner.strip()


def _letters_once(page: str) -> str:
    """Leave out everything that an earlier drawing of the page has defined already."""
    known: set[str] = set()

    def kept(found: re.Match[str]) -> str:
        if found[2] in known:
            return ""
        known.add(found[2])
        return found[0]

    return re.sub(_DEFINED, kept, page, flags=re.DOTALL)


_DEFINED = r'<(path|clipPath|pattern) id="([^"]+)"(?:[^>]*/>|.*?</\1>)\n?'
"""A letter, marker, window or hatch that a drawing defines by name."""
