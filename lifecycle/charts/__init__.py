"""Charts: `chart(data, ax=None) -> Axes`, each with a sentence that says what it shows.

Lecture
-------
Every chart is a function of a result and, if wanted, of the axes to draw on; without axes it makes a
picture of its own, of fixed width, whose `text_alternative` is a sentence that says what it shows. Nothing
here shows a window, changes a style, or opens a file: `picture_bytes` gives the content of a file. In a
notebook ``chart(data).figure`` shows itself.
"""

from lifecycle.charts.canvas import Picture, picture_bytes
from lifecycle.charts.costs import cost_by_category
from lifecycle.charts.method import agreement_dots, probability_plot, step
from lifecycle.charts.owning import break_even, cost_of_owning, owning_under_doubt, savings_spread
from lifecycle.charts.plans import film_plan, roof_plan
from lifecycle.charts.sheets import first_look
from lifecycle.charts.svg import page_picture
from lifecycle.charts.swings import answer_map, by_place, indices, swings
from lifecycle.charts.twenties import table_of_20s, twenty_coaches
from lifecycle.charts.waiting import how_often_to_reseal, when_to_change

__all__ = [
    "Picture",
    "agreement_dots",
    "answer_map",
    "break_even",
    "by_place",
    "cost_by_category",
    "cost_of_owning",
    "film_plan",
    "first_look",
    "how_often_to_reseal",
    "indices",
    "owning_under_doubt",
    "page_picture",
    "picture_bytes",
    "probability_plot",
    "roof_plan",
    "savings_spread",
    "step",
    "swings",
    "table_of_20s",
    "twenty_coaches",
    "when_to_change",
]
