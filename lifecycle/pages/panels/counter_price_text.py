"""The price on the page: line by line, in two honest forms, and what can change it.

Lecture
-------
The figures are those of `lifecycle quote` (`studies.quoting`), and so are most of the sentences. The two
forms stand side by side: a sound price with the rest by measure, or one price with how it is made. Then
what stopping costs once the roof is open, and in how many coaches something is found there.

Left out: what was not looked at (`counter_answer`).
"""

from __future__ import annotations

from html import escape

from lifecycle.answers.quote import fixed_made_of, form_lines, item_rows, once_open, price_lines
from lifecycle.language.sentences import say, words
from lifecycle.pages.panels.words_on_page import paragraphs, table
from lifecycle.quantities import money_text
from lifecycle.studies.quoting import Examination, Examined

FORMS = ("A sound price, the rest by measure", "One price for all")
NO_CAP = "No highest bill is said: without one nobody knows how far it may go."
NOTHING = "0"
"""Cost of a line that this coach does not need."""

NO_EXIT = (
    "What it costs to stop once the roof is open is not said. Say it now: nobody decides freely with an open "
    "roof."
)


def price_html(examination: Examination) -> str:
    """Return the price of the one quote, and what can change it.

    Parameters
    ----------
    examination : Examination
        Of a scenario with one quote.

    Returns
    -------
    str
        HTML.
    """
    one = examination.quotes[0]
    units = examination.scenario.units
    return (
        _lines(one, units, examination.scenario.currency)
        + paragraphs(price_lines(one, units))
        + _forms(one, units)
        + f"<h3>What can change it</h3>{paragraphs(change_lines(one, examination))}"
    )


def _lines(one: Examined, units: str, currency: str) -> str:
    """Return the quote line by line, without what this coach does not need; the sum stands out."""
    rows = [row for row in item_rows(one, units) if row[3] != NOTHING]
    plain = f'<tr><th scope="row">{say("quote.rows.sound")}'
    what, amount, *money = words("quote.heads.items")
    heads = (what, amount, *(f"{head} [{currency}]" for head in money))
    return table(heads, rows).replace(plain, plain.replace("<tr>", '<tr class="lc-own">'))


def change_lines(one: Examined, examination: Examination) -> list[str]:
    """Say what can change a price once the roof is open.

    Parameters
    ----------
    one : Examined
        The quote.
    examination : Examination
        What stripping uncovers.
    """
    quote = one.quote
    stopping = NO_EXIT
    if quote.exit_price is not None:
        stopping = f"Stopping once the roof is open costs {money_text(quote.exit_price)}."
    cap = [] if quote.cap is not None else [NO_CAP]
    return [*once_open(examination.opening, examination.scenario), *cap, stopping]


def _forms(one: Examined, units: str) -> str:
    """Return the two forms of a price side by side."""
    forms = one.forms
    head, sound, _ = form_lines(forms, units)
    texts = (
        f"{sound.rstrip(';')}.",
        f"{say('quote.fixed', price=money_text(forms.all_in))}. {fixed_made_of(forms)}",
    )
    cards = "".join(
        f'<div class="lc-form"><h4>{escape(name)}</h4><p>{escape(text)}</p></div>'
        for name, text in zip(FORMS, texts, strict=True)
    )
    return f'<h3>{escape(head)}</h3><div class="lc-forms">{cards}</div>'
