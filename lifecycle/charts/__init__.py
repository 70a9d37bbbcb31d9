"""Charts: `chart(data, ax=None) -> Axes`, each with a sentence that says what it shows.

Lecture
-------
Every chart is a function of a result and, if wanted, of the axes to draw on; without axes it makes a
picture of its own, of fixed width, whose text alternative is the sentence of the function
`describe_...` beside it. Nothing here shows a window, changes a style, or opens a file:
`picture_bytes` gives the content of a file. In a notebook ``chart(data).figure`` shows itself.
"""

from lifecycle.charts.canvas import Picture, page_picture, picture_bytes
from lifecycle.charts.costs import (
    cost_by_category,
    describe_cost_by_category,
    describe_three_stories,
    describe_yearly_spending,
    three_stories,
    yearly_spending,
)
from lifecycle.charts.method import (
    agreement_dots,
    describe_agreement_dots,
    describe_probability_plot,
    describe_step,
    probability_plot,
    step,
)
from lifecycle.charts.owning import (
    break_even,
    cost_of_owning,
    describe_break_even,
    describe_cost_of_owning,
    describe_owning_under_doubt,
    describe_savings_spread,
    owning_under_doubt,
    savings_spread,
)
from lifecycle.charts.plans import describe_film_plan, describe_roof_plan, film_plan, roof_plan
from lifecycle.charts.sheets import describe_first_look, first_look
from lifecycle.charts.swings import (
    answer_map,
    by_place,
    describe_answer_map,
    describe_by_place,
    describe_indices,
    describe_swings,
    indices,
    swings,
)
from lifecycle.charts.twenties import (
    describe_table_of_20s,
    describe_twenty_coaches,
    table_of_20s,
    twenty_coaches,
)
from lifecycle.charts.waiting import (
    describe_how_often_to_reseal,
    describe_when_to_change,
    how_often_to_reseal,
    when_to_change,
)

__all__ = [
    "Picture",
    "agreement_dots",
    "answer_map",
    "break_even",
    "by_place",
    "cost_by_category",
    "cost_of_owning",
    "describe_agreement_dots",
    "describe_answer_map",
    "describe_break_even",
    "describe_by_place",
    "describe_cost_by_category",
    "describe_cost_of_owning",
    "describe_film_plan",
    "describe_first_look",
    "describe_how_often_to_reseal",
    "describe_indices",
    "describe_owning_under_doubt",
    "describe_probability_plot",
    "describe_roof_plan",
    "describe_savings_spread",
    "describe_step",
    "describe_swings",
    "describe_table_of_20s",
    "describe_three_stories",
    "describe_twenty_coaches",
    "describe_when_to_change",
    "describe_yearly_spending",
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
    "three_stories",
    "twenty_coaches",
    "when_to_change",
    "yearly_spending",
]
