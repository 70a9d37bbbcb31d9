"""How the pages look: one style sheet of our own, from a phone to a wide screen.

Lecture
-------
The verdict sticks to the top at every width. On a wide screen the questions stand left and the answer
right; below 900 pixels they stand one above the other. Every control is at least 44 pixels high. What is
old is set in a grey that can still be read, never hidden, and heights are kept for it, so nothing jumps.
No choice is good or bad by its colour; everything can be read in grey.

Assumed: a white ground; contrasts are at least 4.5 to 1 on it.
"""

from __future__ import annotations

from lifecycle.charts.palette import FAINT, GROUND, INK, LOOKS, QUIET

_STYLE = """
.lc-page, .lc-page .widget-html-content, .lc-page .jupyter-widgets { color: INK; font-family: system-ui,
  'DejaVu Sans', Verdana, sans-serif; font-size: 16px; line-height: 1.42; }
.lc-page, .lc-page .widget-box, .lc-page .widget-vbox, .lc-page .widget-hbox { overflow: visible; }
.lc-page { max-width: 1440px; margin: 0 auto; background: GROUND; }
.lc-page .jupyter-widgets { margin: 0; height: auto; }
.lc-page p { margin: 0 0 6px; }
.lc-page h2, .lc-page h3 { margin: 4px 0 6px; line-height: 1.25; }
.lc-page h2 { font-size: 21px; } .lc-page h3 { font-size: 18px; }
.lc-page .widget-html, .lc-page .widget-html-content { height: auto; width: 100%; overflow: visible; }
.lc-page ul { margin: 0; padding-left: 20px; } .lc-page li { margin: 0 0 6px; }
.lc-bar { display: flex; flex-flow: row wrap; gap: 10px; align-items: center; padding: 6px 0; }
.lc-bar > .jupyter-widgets { flex: 0 0 auto; width: auto; }
.lc-page .jupyter-button, .lc-page .lc-link, .lc-page .widget-toggle-button { min-height: 44px; height: auto;
  width: auto; padding: 9px 16px; font-size: 16px; line-height: 24px; border: 1px solid QUIET;
  border-radius: 4px;
  background: GROUND; color: INK; text-decoration: none; display: inline-block; box-sizing: border-box;
  white-space: normal; text-align: left; box-shadow: none; cursor: pointer; }
.lc-page .jupyter-button:hover, .lc-page .lc-link:hover { background: FAINT; }
.lc-page .jupyter-button.mod-active { background: INK; color: GROUND; }
.lc-page .jupyter-button:disabled { color: QUIET; border-color: FAINT; cursor: default; }
.lc-page :focus-visible { outline: 3px solid BLUE; outline-offset: 2px; }
.lc-page .widget-toggle-buttons { width: auto; height: auto; }
.lc-page .widget-toggle-buttons .jupyter-button { margin: 0; }
.lc-status { min-height: 24px; } .lc-status p { font-weight: 600; margin: 0; }
.lc-sticky { position: sticky; top: 0; z-index: 5; background: GROUND; border-top: 3px solid INK;
  border-bottom: 1px solid QUIET; padding: 8px 0 6px; box-sizing: border-box; min-height: 170px; }
.lc-word { font-size: 25px; font-weight: 700; line-height: 1.2; }
.lc-page .lc-old, .lc-page .lc-old td, .lc-page .lc-old th, .lc-page .lc-old p { color: QUIET; }
.lc-page .lc-old .bar > span { background: QUIET; }
.lc-page .lc-old .lc-picture img { filter: grayscale(1) opacity(.72); }
.lc-chart { width: 100%; }
.lc-turned { border-left: 4px solid INK; padding-left: 8px; font-weight: 600; }
.lc-dots { display: inline-flex; gap: 4px; vertical-align: middle; margin: 0 10px 0 0; }
.lc-dots i { width: 13px; height: 13px; border: 1.5px solid INK; border-radius: 50%; display: inline-block; }
.lc-dots i.lc-on { background: INK; }
.lc-columns { display: grid; grid-template-columns: minmax(330px, 5fr) minmax(0, 8fr); gap: 32px; width: 100%;
  padding-top: 14px; align-items: start; }
.lc-columns > .jupyter-widgets { min-width: 0; width: 100%; }
.lc-question { border-bottom: 1px solid FAINT; padding: 6px 0 10px; width: 100%; }
.lc-field { width: 100%; padding: 2px 0 8px; }
.lc-page .lc-field .widget-inline-hbox, .lc-page .lc-field .widget-radio { display: flex; flex-direction:
  column;
  align-items: stretch; height: auto; width: 100%; min-width: 0; }
.lc-page .lc-field .widget-label, .lc-page .widget-label { white-space: normal; overflow: visible; width:
  auto;
  max-width: none; height: auto; text-align: left; font-size: 16px; line-height: 1.35; color: INK; padding:
  2px 0;
  text-overflow: clip; }
.lc-page input[type=text], .lc-page select, .lc-page input[type=number] { min-height: 44px; height: 44px;
  font-size: 17px; border: 1.5px solid QUIET; border-radius: 4px; padding: 4px 10px; color: INK; background:
  GROUND;
  max-width: 100%; box-sizing: border-box; }
.lc-page input[type=text]:disabled { background: #f1f1f4; border-color: FAINT; color: QUIET; }
.lc-page .widget-text input, .lc-page .widget-dropdown select { width: 100%; max-width: 340px; }
.lc-wrong input[type=text], .lc-wrong select { border: 2.5px dashed INK; }
.lc-message { font-weight: 600; }
.lc-message span::before { content: "\\25B2\\00a0"; }
.lc-page .widget-radio-box { height: auto; width: 100%; max-height: none; overflow: visible; padding: 0;
  margin: 0; }
.lc-page .widget-radio-box label { min-height: 44px; height: auto; display: flex; align-items: center; gap:
  4px;
  font-size: 16px; line-height: 1.3; padding: 2px 6px 2px 0; width: 100%; margin: 0; cursor: pointer; }
.lc-page .widget-radio-box input { width: 22px; height: 22px; margin: 0 10px 0 2px; flex: 0 0 auto; order: -1;
  line-height: normal; }
.lc-page .widget-checkbox { height: auto; min-height: 44px; width: auto; flex: 0 0 auto; display: flex;
  align-items: center; }
.lc-page .widget-checkbox label, .lc-page .widget-label-basic { min-height: 44px; display: flex;
  align-items: center;
  gap: 8px; font-size: 16px; cursor: pointer; width: auto; height: auto; overflow: visible; white-space:
  normal; }
.lc-page .widget-checkbox input { width: 22px; height: 22px; margin: 0 8px 0 2px; flex: 0 0 auto; }
.lc-row { display: flex; flex-flow: row wrap; gap: 4px 14px; align-items: flex-end; width: 100%; }
.lc-row > .widget-text { flex: 1 1 220px; width: auto; }
.lc-three { display: grid; grid-template-columns: repeat(3, minmax(0, 1fr)); gap: 10px; width: 100%;
  max-width: 380px; align-items: end; }
.lc-needed { font-size: 14px; font-weight: 600; border: 1px solid INK; border-radius: 3px; padding: 0 5px;
  margin-left: 8px; }
.lc-page .lc-picture { width: 100%; max-width: 660px; }
.lc-page .lc-picture img { display: block; width: 100%; height: auto; }
.lc-wide { overflow-x: auto; width: 100%; }
.lc-page table { border-collapse: collapse; font-size: 16px; width: 100%; margin: 0 0 6px; }
.lc-page caption { text-align: left; padding: 0 0 6px; caption-side: top; color: INK; font-weight: 600; }
.lc-page th, .lc-page td { padding: 7px 6px; border-bottom: 1px solid FAINT; vertical-align: top; color:
  INK; }
.lc-page th { text-align: left; font-weight: 400; } .lc-page thead th { font-weight: 600; border-color:
  QUIET; }
.lc-page td { text-align: right; font-variant-numeric: tabular-nums; }
.lc-page thead th:not(:first-child) { text-align: right; }
.lc-page td.lc-here, .lc-page th.lc-here { background: #eef0f6; font-weight: 700; }
.lc-page tr.lc-own th, .lc-page tr.lc-own td { font-weight: 700; border-bottom: 2px solid INK; }
.lc-page .scroll { overflow-x: auto; width: 100%; }
.lc-page td.shaded { background: #eef0f6; }
.lc-page tr.strong > * { font-weight: 700; border-bottom: 2px solid INK; }
.lc-page .bar { display: block; height: 7px; border: 1px solid QUIET; margin-top: 3px; min-width: 30px; }
.lc-page .bar > span { display: block; height: 100%; background: BLUE; }
.lc-table { min-height: 470px; width: 100%; }
.lc-note, .lc-page .note, .lc-page .table-note { color: QUIET; font-size: 15px; }
.lc-folds { width: 100%; padding-top: 18px; }
.lc-fold { width: 100%; border-top: 1px solid QUIET; }
.lc-page .lc-fold > .jupyter-button { width: 100%; border: 0; border-radius: 0; font-size: 19px;
  font-weight: 600;
  padding: 12px 4px; }
.lc-pair { display: flex; flex-flow: row wrap; gap: 12px 34px; width: 100%; align-items: flex-start; }
.lc-pair > .lc-picture { flex: 1 1 340px; }
.lc-inside { padding: 4px 0 18px; width: 100%; }
.lc-sides { display: grid; grid-template-columns: 1fr 1fr; gap: 28px; width: 100%; }
.lc-figure { display: grid; grid-template-columns: minmax(0, 5fr) minmax(170px, 3fr) minmax(0, 4fr); gap:
  4px 18px;
  width: 100%; border-bottom: 1px solid FAINT; padding: 6px 0; align-items: center; }
.lc-columns .lc-figure { grid-template-columns: minmax(0, 1fr); }
.lc-figure > .jupyter-widgets { min-width: 0; width: 100%; }
.lc-page .jupyter-widgets.widget-upload { width: auto; }
.lc-page progress { width: 100%; max-width: 420px; height: 18px; accent-color: BLUE; }
.lc-answer { display: grid; grid-template-columns: minmax(0, 6fr) minmax(0, 5fr); gap: 6px 26px; width: 100%;
  align-items: start; }
.lc-answer > .jupyter-widgets { min-width: 0; width: 100%; }
.lc-answer > .lc-table, .lc-answer > .lc-beside { grid-column: 1 / -1; }
.lc-next { min-height: 330px; }
.lc-two { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 0 18px; width: 100%;
  align-items: start; }
.lc-two > .jupyter-widgets { min-width: 0; width: 100%; }
.lc-page .lc-short .widget-radio-box { display: flex; flex-flow: row wrap; gap: 0 16px; }
.lc-page .lc-short .widget-radio-box label { width: auto; }
.lc-page .lc-field select { flex: 0 0 44px; }
.lc-page .lc-field .lc-row .widget-text { flex: 1 1 170px; width: auto; max-width: 340px; }
.lc-page .jupyter-button.widget-upload { font-size: 0; display: inline-flex; align-items: center;
  padding: 0 16px; }
.lc-page .widget-upload i { font-size: 16px; }
.lc-page .widget-upload::after { content: "Load a file"; font-size: 16px; }
@media (max-width: 1200px) { .lc-columns { gap: 24px; } .lc-answer { grid-template-columns: minmax(0, 1fr); }
  .lc-next { min-height: 250px; } }
@media (max-width: 900px) {
  .lc-columns { grid-template-columns: minmax(0, 1fr); }
  .lc-figure { grid-template-columns: minmax(0, 1fr); }
  .lc-sticky { min-height: 186px; }
}
@media (max-width: 600px) {
  .lc-word { font-size: 20px; } .lc-sticky { min-height: 172px; } .lc-sticky .lc-more { display: none; }
  .lc-sticky p { font-size: 14.5px; line-height: 1.28; margin-bottom: 4px; }
  .lc-sticky .lc-word { font-size: 20px; }
  .lc-sides, .lc-two { grid-template-columns: minmax(0, 1fr); gap: 0 10px; }
  .lc-page th, .lc-page td { padding: 6px 3px; font-size: 15px; }
  .lc-dots { gap: 2px; margin-right: 6px; } .lc-dots i { width: 10px; height: 10px; }
  .lc-table { min-height: 620px; }
}
@media (max-height: 560px) { .lc-sticky { min-height: 0; } .lc-sticky .lc-more { display: none; } }
@media print { .lc-sticky { position: static; } .lc-bar, .lc-fold > .jupyter-button { display: none; } }
"""


def style_sheet() -> str:
    """Return the style sheet as HTML.

    Returns
    -------
    str
        A style element.
    """
    colours = {"INK": INK, "GROUND": GROUND, "QUIET": QUIET, "FAINT": FAINT, "BLUE": LOOKS[1].colour}
    text = _STYLE
    for name, colour in colours.items():
        text = text.replace(name, colour)
    return f"<style>{text}</style>"
