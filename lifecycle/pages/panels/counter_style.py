"""How the counter's page looks, besides what all pages share: steps, steppers, sections, forms.

Lecture
-------
Made for a tablet held upright, with a customer who reads along: one step at a time, big buttons, the
verdict on top of all. On a wide screen the steps stand left and the answer right, and nothing is
switched.

Left out: what all pages share (`style`).
"""

from __future__ import annotations

from lifecycle.charts.palette import FAINT, GROUND, INK, QUIET

_STYLE = """
.lc-counter .lc-sticky { min-height: 132px; }
.lc-counter .lc-stop { border: 4px solid INK; padding: 10px 14px; }
.lc-counter .lc-eyebrow { font-size: 15px; color: QUIET; margin-bottom: 2px; }
.lc-nav { display: grid; grid-template-columns: repeat(3, minmax(0, 1fr)); gap: 8px; width: 100%;
  padding: 10px 0; }
.lc-page .lc-nav .jupyter-button { width: 100%; text-align: center; min-height: 52px; margin: 0; }
.lc-counter .lc-part { width: 100%; }
.lc-counter .lc-part:not(.lc-shown) { display: none; }
.lc-steppers { display: grid; grid-template-columns: repeat(auto-fill, minmax(230px, 1fr)); gap: 6px 22px;
  width: 100%; align-items: start; }
.lc-steppers > .jupyter-widgets { width: 100%; min-width: 0; }
.lc-stepper { width: 100%; }
.lc-step-row { display: grid; grid-template-columns: 56px minmax(64px, 120px) 56px; gap: 6px;
  align-items: center; }
.lc-page .lc-step-row .jupyter-button { width: 56px; min-width: 44px; min-height: 48px; margin: 0; padding: 0;
  text-align: center; font-size: 24px; }
.lc-step-row > .widget-text { width: 100%; min-width: 0; display: block; }
.lc-page .lc-step-row .widget-text > label { position: absolute; width: 1px; height: 1px; overflow: hidden;
  clip-path: inset(50%); }
.lc-page .lc-step-row .widget-text input[type=text] { text-align: center; font-size: 20px; width: 100%;
  height: 48px; }
.lc-typed-row { width: 100%; max-width: 240px; }
.lc-page .lc-typed-row .widget-text { width: 100%; }
.lc-page .lc-typed-row .widget-text > label { display: none; }
.lc-counter .lc-row > .widget-checkbox { width: auto; flex: 0 0 auto; }
.lc-counter .lc-row > .widget-checkbox .widget-label-basic { width: auto; }
.lc-counter .lc-walk h3 { margin-top: 14px; }
.lc-page .lc-entries .widget-checkbox label { line-height: 1.3; }
.lc-page .lc-walk > .jupyter-button { margin-top: 10px; max-width: 300px; }
.lc-step-name { font-size: 16px; }
.lc-page .lc-walk .widget-toggle-buttons { width: 100%; }
.lc-page .lc-walk .widget-toggle-buttons > div { display: flex; flex-flow: row wrap; gap: 6px; }
.lc-section { width: 100%; border-top: 1px solid QUIET; padding: 10px 0 14px; }
.lc-section h2 b { display: inline-block; min-width: 26px; }
.lc-forms { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 14px; margin: 4px 0 10px; }
.lc-form { border: 1.5px solid QUIET; border-radius: 4px; padding: 10px 14px; }
.lc-form h4 { margin: 0 0 6px; font-size: 17px; }
.lc-entries { display: grid; grid-template-columns: repeat(auto-fill, minmax(300px, 1fr)); gap: 0 18px;
  width: 100%; }
.lc-page .lc-entries .widget-checkbox { width: 100%; }
.lc-big .lc-dots i { width: 20px; height: 20px; }
.lc-big .lc-dots { gap: 6px; flex-wrap: wrap; margin-bottom: 8px; }
.lc-counter .lc-left td { text-align: left; }
.lc-counter .lc-left thead th:not(:first-child) { text-align: left; }
.lc-said { border-bottom: 1px solid FAINT; padding: 8px 0; }
.lc-said b { font-size: 17px; }
.lc-counter .lc-said p { margin-bottom: 4px; }
.lc-sure { border: 2px solid INK; padding: 8px 12px; }
@media (min-width: 1100px) {
  .lc-counter .lc-nav { display: none; }
  .lc-counter .lc-parts { display: grid; grid-template-columns: minmax(0, 5fr) minmax(0, 7fr); gap: 0 34px;
    width: 100%; align-items: start; padding-top: 12px; }
  .lc-counter .lc-part, .lc-counter .lc-part:not(.lc-shown) { display: block; }
  .lc-counter .lc-asking { grid-column: 1; grid-row: 1; }
  .lc-counter .lc-walking { grid-column: 1; grid-row: 2; }
  .lc-counter .lc-answering { grid-column: 2; grid-row: 1 / span 2; }
}
@media (max-width: 600px) {
  .lc-forms { grid-template-columns: minmax(0, 1fr); }
  .lc-steppers { grid-template-columns: repeat(auto-fill, minmax(160px, 1fr)); gap: 6px 10px; }
  .lc-step-row { grid-template-columns: 48px minmax(48px, 1fr) 48px; gap: 4px; }
  .lc-page .lc-step-row .jupyter-button { width: 48px; }
  .lc-page .lc-nav .jupyter-button { padding: 8px 4px; font-size: 15px; }
  .lc-entries { grid-template-columns: minmax(0, 1fr); }
  .lc-big .lc-dots i { width: 12px; height: 12px; } .lc-big .lc-dots { gap: 3px; }
  .lc-counter .lc-sticky { min-height: 150px; }
}
"""


def counter_style() -> str:
    """Return the style sheet of the counter's page as HTML.

    Returns
    -------
    str
        A style element.
    """
    text = _STYLE
    for name, colour in {"INK": INK, "GROUND": GROUND, "QUIET": QUIET, "FAINT": FAINT}.items():
        text = text.replace(name, colour)
    return f"<style>{text}</style>"
