"""Panels in process: what is entered, what follows, what is refused, without a browser."""

from __future__ import annotations

import base64
import re
from datetime import date, datetime
from functools import partial
from html import unescape
from typing import Any

import pytest

import lifecycle
from lifecycle import files
from lifecycle.answers import papers as of_papers
from lifecycle.errors import ScenarioError
from lifecycle.evaluation.expectation import evaluate
from lifecycle.interview import NOT_SURE, parts
from lifecycle.language.labels import BASES
from lifecycle.language.verdict import verdict_under
from lifecycle.pages.panels.fields import Questions
from lifecycle.pages.panels.figure_fields import FigureLine, typed_figure
from lifecycle.pages.panels.owner import OwnerPage
from lifecycle.pages.panels.pieces import guarded
from lifecycle.pages.panels.session import (
    Answer,
    Answering,
    Entered,
    answered,
    can_be_written,
    from_scenario,
    plain,
    scenario_of,
    still_needed,
    with_figure,
)
from lifecycle.pages.panels.worker import Job, Superseded, Worker
from lifecycle.places import scenario_path
from lifecycle.scenario import Scenario
from lifecycle.studies.assessment import brief
from lifecycle.studies.futures import DRAWS as FUTURES
from lifecycle.studies.habits import habits
from lifecycle.studies.verdict import last_year_needed

TODAY = date(2027, 4, 1)
NOW = datetime(2027, 4, 1)
ANSWERS = {
    "otherwise": "shop_every_year",
    "keep": {"low": 4, "likely": 10, "high": 15},
    "quote": 8130,
    "roof_age": 14,
    "length": 26,
    "place": "Houston",
    "trouble": [],
}
DRAWS = 128
"""Enough to tell words apart; the page itself takes more."""


def entered(**answers: Any) -> Entered:
    return Entered(TODAY, {**ANSWERS, **answers})


def wanted() -> None:
    """Nothing newer has come."""


def library(scenario: Scenario) -> Any:
    comparison = lifecycle.compare(scenario)
    if not comparison.ways:
        return verdict_under(comparison, None)
    found = brief(scenario, draws=DRAWS, until=last_year_needed(comparison.scenario))
    return verdict_under(lifecycle.compare(found.scenario), found)


def same(verdict: Any, other: Any) -> None:
    """Check that two verdicts are one: every word, and numbers but for rounding.

    A page sums costs up to the table's last year, the library up to the last year that a verdict names.
    """
    assert (verdict.lines, verdict.beside) == (other.lines, other.beside)
    here, there = vars(verdict.parts), vars(other.parts)
    assert here.keys() == there.keys()
    for name, value in here.items():
        expected = pytest.approx(value, rel=1e-9) if isinstance(value, float) else value
        assert there[name] == expected, name


@pytest.fixture(scope="module")
def answering() -> Answering:
    return Answering(draws=DRAWS)


@pytest.fixture
def owner(answering: Answering, monkeypatch: pytest.MonkeyPatch) -> OwnerPage:
    """Return an owner's page; ways that another page has worked out already are taken from there."""
    monkeypatch.setattr("lifecycle.pages.panels.session.Answering", lambda: answering)
    return OwnerPage(today=TODAY)


@pytest.fixture(scope="module")
def filled(answering: Answering) -> OwnerPage:
    """Return a page with its answer, for those who leave it as it was."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("lifecycle.pages.panels.session.Answering", lambda: answering)
        page = OwnerPage(today=TODAY)
    fill(page, length=("typed", "26"), seal_age=("typed", "1 year"), sheltered_share=("typed", "1"))
    return page


TYPED = {
    "otherwise": ("chosen", "shop_every_year"),
    "keep": ("likely", "10"),
    "quote": ("typed", "8,130"),
    "roof_age": ("typed", "14 months"),
}


def fill(owner: OwnerPage, **answers: tuple[str, str]) -> None:
    """Fill fields as somebody would who types; what is given comes first, so one answer is worked out."""
    for key, (control, value) in {**answers, **TYPED, **answers}.items():
        owner.questions.fields[key].controls[control].value = value


# ---- what is entered ------------------------------------------------------------------------------


def test_nothing_can_be_said_before_the_first_three_and_the_age_are_answered() -> None:
    now = Entered(TODAY)
    assert still_needed(now) == (1, 2, 3, 4)
    for key, value in (("otherwise", NOT_SURE), ("keep", NOT_SURE), ("quote", NOT_SURE), ("roof_age", 14)):
        now = answered(now, key, value)
    assert still_needed(now) == ()
    assert still_needed(answered(now, "quote", None)) == (3,)


def test_every_part_of_a_question_has_a_short_name() -> None:
    assert all(part.short for part in parts().values())


@pytest.mark.parametrize(
    "key", sorted(key for key, part in parts().items() if key in ANSWERS or part.not_sure)
)
def test_a_scenario_of_answers_is_the_one_that_new_writes(key: str) -> None:
    value = ANSWERS.get(key, NOT_SURE)
    now = answered(entered(), key, value)
    written = dict(scenario_of(now).answers)
    assert {
        **written,
        "trouble": list(written["trouble"]) if written["trouble"] == () else written["trouble"],
    } == {
        **ANSWERS,
        key: value,
    }


def test_a_changed_figure_stands_with_the_tools_own_beside_it() -> None:
    now = entered()
    own = plain(now).inputs["leaks.rot_cost"]
    changed = typed_figure("5,000 / 6000 / 7000", own, plain(now))
    assert not isinstance(changed, str)
    scenario = scenario_of(with_figure(now, own, changed))
    figure = scenario.inputs["leaks.rot_cost"]
    assert (figure.low, figure.likely, figure.high) == (5000, 6000, 7000)
    assert figure.tool == own and scenario.changed == ("leaks.rot_cost",)
    back = with_figure(with_figure(now, own, changed), own, None)
    assert scenario_of(back).inputs == plain(now).inputs


@pytest.mark.parametrize("typed", ["", "abc", "1 / 2", "3 / 2 / 1", "1/2/3/4"])
def test_a_figure_that_is_none_is_explained(typed: str) -> None:
    own = plain(entered()).inputs["leaks.rot_cost"]
    said = typed_figure(typed, own, plain(entered()))
    assert isinstance(said, str) and "low / likely / high" in said


def test_what_is_saved_is_what_was_entered() -> None:
    now = entered()
    base = plain(now)
    for path, typed in (
        ("leaks.rot_cost", "5000/6000/7000"),
        ("roofs.coating.life_mean", "11 / 14 / 19"),
        ("owner.day_cost", "25"),
    ):
        changed = typed_figure(typed, base.inputs[path], base)
        assert not isinstance(changed, str)
        now = with_figure(now, base.inputs[path], changed)
    read = files.loads(scenario_of(now).text)
    assert {path: figure.likely for path, figure in read.inputs.items()} == {
        path: figure.likely for path, figure in scenario_of(now).inputs.items()
    }
    again = from_scenario(read)
    assert {**again.answers, "trouble": list(again.answers["trouble"])} == now.answers and set(
        again.changed
    ) == set(now.changed)
    assert scenario_of(again).inputs["leaks.rot_cost"].high == 7000


def test_figures_of_every_section_can_be_saved() -> None:
    base = plain(entered())
    tried = {figure.path.split(".")[0]: figure for figure in base.inputs.values() if can_be_written(figure)}
    assert set(tried) >= {"study", "owner", "leaks", "figures", "roofs", "coach", "climate"}
    for figure in tried.values():
        if not figure.field.ranged:
            continue
        middle = 0.5 * (figure.likely + figure.high) or 0.01
        changed = typed_figure(
            f"{min(middle, figure.field.high)}", figure, plain(Entered(TODAY, ANSWERS, units="metric"))
        )
        assert not isinstance(changed, str)
        assert (
            files.loads(scenario_of(with_figure(entered(), figure, changed)).text).inputs[figure.path].likely
            > 0
        )


@pytest.mark.parametrize("name", ["humid-coast-motorhome", "trouble-reported", "two-quotes"])
def test_a_file_without_answers_is_taken_as_it_is(name: str) -> None:
    scenario = lifecycle.load(scenario_path(name))
    now = from_scenario(scenario)
    assert still_needed(now) == () and now.by_hand == scenario
    assert scenario_of(now).inputs == scenario.inputs
    assert scenario_of(now).text == scenario.text


# ---- answers --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "change",
    [
        {},
        {"quote": 6000},
        {"keep": 8},
        {"reseal_price": 400},
        {"otherwise": "own_touch_up"},
        {"otherwise": NOT_SURE},
        {"quote": NOT_SURE},
        {"keep": NOT_SURE},
        {"trouble": ["stain"]},
        {"climbs": False},
    ],
    ids=str,
)
def test_the_verdict_is_that_of_the_library(answering: Answering, change: dict[str, Any]) -> None:
    """Also after other scenarios: what is kept from them changes nothing."""
    scenario = scenario_of(entered(**change))
    first, whole = answering.first(scenario, wanted), answering.whole(scenario, wanted)
    same(whole.verdict, library(scenario))
    if first is not None:
        assert first.verdict.lines == whole.verdict.lines[: len(first.verdict.lines)]
        assert first.verdict.parts.word == whole.verdict.parts.word
        assert first.verdict.parts.of_20 == whole.verdict.parts.of_20
    assert (first is None) == ("trouble" in change)


def test_the_table_of_20s_is_that_of_the_library(answering: Answering) -> None:
    for quote in (8130, 6000):
        scenario = scenario_of(entered(quote=quote))
        table = answering.table(scenario, wanted)
        assert table is not None
        assert table.chance == habits(scenario, draws=DRAWS).chance
    assert answering.table(scenario_of(entered(trouble=["bubble"])), wanted) is None


def test_the_table_takes_the_ways_that_the_verdict_has(monkeypatch: pytest.MonkeyPatch) -> None:
    worked_out: list[str] = []

    def seen(case: Any, **options: Any) -> Any:
        worked_out.extend(way.name for way in case.alternatives)
        return evaluate(case, **options)

    monkeypatch.setattr("lifecycle.studies.futures.evaluate", seen)
    fresh, scenario = Answering(draws=16), scenario_of(entered())
    fresh.whole(scenario, wanted)
    assert "keep" in worked_out
    worked_out.clear()
    fresh.table(scenario, wanted)
    assert "keep under nothing" in worked_out and "keep under shop_every_year" not in worked_out
    worked_out.clear()
    fresh.first(scenario_of(entered(quote=7000)), wanted)
    assert not {"keep", "coat_now"} & set(worked_out), "the price of spraying now is added"
    keep = {**ANSWERS["keep"], "likely": ANSWERS["keep"]["likely"] - 1}
    fresh.whole(scenario_of(entered(quote=7000, keep=keep)), wanted)
    assert not {"keep", "keep_own_touch_up"} & set(worked_out)


def test_older_work_is_given_up_between_its_parts(answering: Answering) -> None:
    worker = Worker(lambda error: None, None)
    job = Job(worker, worker.newest)
    job.check()
    worker.give_up()
    with pytest.raises(Superseded):
        answering.whole(scenario_of(entered(quote=7000)), job.check)


def test_what_nobody_wants_any_more_is_not_shown() -> None:
    worker = Worker(lambda error: None, None)
    shown: list[str] = []

    def work(job: Job) -> None:
        job.show(lambda: shown.append("first"))
        worker.give_up()
        job.show(lambda: shown.append("second"))

    worker.start(work)
    assert shown == ["first"]


# ---- the page -------------------------------------------------------------------------------------


def top(owner: OwnerPage) -> str:
    """Return the verdict at the top, heading and lines."""
    return owner.verdict.html.value + owner.verdict.lines.value


def test_what_is_typed_is_said_back_and_what_is_hardly_meant_is_asked_back(owner: OwnerPage) -> None:
    field = owner.questions.fields["quote"]

    def typed(text: str) -> Any:
        field.controls["typed"].value = text
        return owner.session.entered.answers["quote"]

    assert typed("8k") == 8000 and "understood: 8,000 USD" in field.said.value
    assert typed("8.130") == 8000 and "can be read as 8,130 or as 8.13" in unescape(field.message.value)
    assert typed("81") == 81 and field.doubted and "very low" in field.said.value
    field.sure.click()
    assert not field.doubted and "understood: 81 USD" in field.said.value
    assert typed("82") == 82 and field.doubted, "another price is asked back anew"
    assert typed("8130") == 8130 and not field.doubted


def test_other_ways_are_compared_on_demand_and_can_be_left_aside_again(owner: OwnerPage) -> None:
    fill(owner)

    def ways() -> tuple[int, int]:
        scenario = owner.session.scenario
        assert scenario is not None
        return len(scenario.alternatives), len(scenario.aside)

    ready, aside = ways()
    assert aside > 0 and ready <= 7 and str(aside) in owner.results.other.description
    owner.results.other.click()
    assert ways() == (ready + aside, 0)
    owner.results.other.click()
    assert ways() == (ready, aside)


def head(owner: OwnerPage) -> str:
    found = re.search(r"lc-word[^>]*>([^<]*)<", owner.verdict.html.value)
    assert found
    return found[1]


def test_no_verdict_before_the_first_questions_are_answered(owner: OwnerPage) -> None:
    assert head(owner) == "No verdict yet" and "1, 2, 3 and 4" in top(owner)
    fill(owner, roof_age=("typed", ""))
    assert head(owner) == "No verdict yet" and "question 4" in top(owner)
    assert not owner.results.picture.image.value and "href" not in owner.bar.save.value
    fill(owner)
    assert head(owner).startswith("Keep the membrane and have a shop touch it up each year")


def test_verdict_chart_and_table_change_together(owner: OwnerPage) -> None:
    fill(owner)
    before = (
        head(owner),
        owner.results.picture.image.value,
        owner.results.table.value,
        owner.results.next.value,
    )
    owner.questions.fields["reseal_price"].controls["typed"].value = "400"
    after = (
        head(owner),
        owner.results.picture.image.value,
        owner.results.table.value,
        owner.results.next.value,
    )
    assert not any(one == other for one, other in zip(before, after, strict=True))
    answer = owner.session.answer
    assert isinstance(answer, Answer)
    same(answer.verdict, library(answer.scenario))
    assert 'Is "Spray now" cheaper' in unescape(after[1])


def test_the_page_says_which_answer_changed_the_word(owner: OwnerPage) -> None:
    fill(owner)
    owner.questions.fields["reseal_price"].controls["typed"].value = "400"
    assert "what a shop asks for resealing did it" in top(owner)
    owner.questions.fields["reseal_price"].controls["typed"].value = "405"
    assert "did it" not in top(owner)


@pytest.mark.parametrize(
    ("key", "control", "typed", "said"),
    [
        ("quote", "typed", "abc", "must be a number"),
        ("quote", "typed", "-5", "must be from 1"),
        ("roof_age", "typed", "fourteen", "say months or years"),
        ("keep", "likely", "90", "from 1 to 60 years"),
        ("length", "typed", "3", "from 5 to 100 ft"),
        ("seal_age", "typed", "9 years", "not be above the age of the roof"),
        ("sheltered_share", "typed", "15", "from 0 to 12"),
    ],
)
def test_a_wrong_value_is_explained_and_the_last_good_answer_kept(
    filled: OwnerPage, key: str, control: str, typed: str, said: str
) -> None:
    before, verdict = filled.session.entered, filled.verdict.html.value
    field = filled.questions.fields[key]
    good = field.controls[control].value
    field.controls[control].value = typed
    assert said in field.message.value and field.message.layout.display == ""
    assert filled.session.entered == before and filled.verdict.html.value == verdict
    field.controls[control].value = good
    assert not field.message.value
    assert filled.session.entered == before and filled.verdict.html.value == verdict


def test_an_exception_becomes_a_plain_sentence_and_the_answer_stays(
    owner: OwnerPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(owner)
    before = owner.verdict.html.value

    def broken(*_: object) -> None:
        raise KeyError("inside")

    monkeypatch.setattr(owner.session._answering, "first", broken)
    owner.questions.fields["quote"].controls["typed"].value = "7000"
    assert "Something went wrong in this program" in owner.status.value
    assert "Traceback" not in owner.status.value and owner.verdict.html.value == before
    assert "lc-old" not in owner.verdict.box._dom_classes


def test_a_callback_never_raises() -> None:
    said: list[str] = []

    def wrong() -> None:
        raise ScenarioError([])

    guarded(wrong, said.append)()
    guarded(lambda: [][0], said.append)()
    assert len(said) == 2 and "IndexError" in said[1]


def test_undo_and_start_over(owner: OwnerPage) -> None:
    fill(owner)
    first = owner.verdict.html.value
    owner.questions.fields["quote"].controls["typed"].value = "5000"
    owner.bar.undo.click()
    assert owner.questions.fields["quote"].controls["typed"].value == "8,130"
    assert head(owner) in first
    owner.bar.over.button.click()
    owner.bar.over.no.click()
    assert head(owner) in first
    owner.bar.over.button.click()
    owner.bar.over.yes.click()
    assert head(owner) == "No verdict yet"
    assert owner.questions.fields["quote"].controls["typed"].value == ""
    assert owner.session.scenario is None and not owner.session.entered.answers
    owner.bar.undo.click()
    assert head(owner) in first
    assert "undoing" not in owner.verdict.html.value


def test_save_and_load_give_the_same_page(owner: OwnerPage) -> None:
    fill(owner)
    link = re.search(r'href="data:application/toml;base64,([^"]+)"', owner.bar.save.value)
    assert link
    content, verdict = base64.b64decode(link[1]), owner.session.answer
    owner.bar.over.yes.click()
    owner._load("mine.toml", content)
    assert verdict is not None and owner.session.answer is not None
    assert owner.session.answer.verdict == verdict.verdict
    assert owner.questions.fields["keep"].controls["likely"].value == "10"


@pytest.mark.parametrize("content", [b"\xff\xfe", b"a = ", b"x" * 400_000, b"schema = 1"])
def test_a_file_that_is_none_is_refused_and_nothing_moves(filled: OwnerPage, content: bytes) -> None:
    before, verdict = filled.session.entered, filled.verdict.html.value
    filled.tell("")
    filled.bar.load.value = (
        {"name": "bad.toml", "type": "", "size": len(content), "content": content, "last_modified": NOW},
    )
    assert "That does not work" in filled.status.value
    assert filled.session.entered == before and filled.verdict.html.value == verdict


def test_units_change_what_is_shown_and_nothing_else(owner: OwnerPage) -> None:
    fill(owner, length=("typed", "26"))
    before = owner.session.answer
    owner.bar.units.value = "metric"
    assert owner.questions.fields["length"].controls["typed"].value == "7.9"
    assert owner.session.answer is not None and before is not None
    assert owner.session.answer.verdict.parts == before.verdict.parts
    owner.questions.fields["length"].controls["typed"].value = "10"
    assert owner.session.entered.answers["length"] == pytest.approx(32.8, abs=0.05)


def test_trouble_stops_the_comparison(owner: OwnerPage) -> None:
    fill(owner)
    owner.questions.fields["trouble"].controls["chosen"].value = "seen"
    owner.questions.fields["trouble"].controls["soft spot"].value = True
    assert head(owner).startswith("Open it first.") and "soft spot" in top(owner)
    assert not owner.results.picture.image.value or owner.results.box.children[0].layout.display == "none"
    assert "<td" not in owner.results.table.value


def test_a_second_place_is_asked_only_after_a_first(owner: OwnerPage) -> None:
    fields = owner.questions.fields
    assert fields["second_place"].box.layout.display == "none"
    fields["place"].controls["chosen"].value = "Houston"
    assert fields["second_place"].box.layout.display == ""
    fields["second_place"].controls["chosen"].value = "Duluth"
    assert fields["second_share"].box.layout.display == ""


def test_every_answer_can_be_shown_and_read_back() -> None:
    took: dict[str, Any] = {}
    questions = Questions(lambda key, value: took.update({key: value}) or "", print)
    for key, value in {**ANSWERS, "seal_age": "never", "climbs": False, "sheltered_share": 0.5}.items():
        field = questions.fields[key]
        field.show(value)
        held = field._held()[1]
        assert held == value or (key == "seal_age" and held == NOT_SURE), key
    assert not took, "showing is not taking"


def test_every_figure_stands_on_the_page_and_can_be_changed(owner: OwnerPage) -> None:
    fill(owner)
    owner.folds["figures"].turn()
    folds = owner.folds["figures"].inside.children
    assert len(folds) >= 8
    scenario = owner.session.scenario
    assert scenario is not None
    figure = scenario.inputs["figures.shop_touch_up_cost"]
    owner.figures.find.field.value = "touch-up shop"
    names = [unescape(one.children[0].value) for one in owner.figures.found.children]
    assert names and all("touch-up" in one and "shop" in one for one in names)
    owner.figures.find.field.value = ""
    assert not owner.figures.found.children and not owner.figures.find.said.value
    line = FigureLine(figure, figure, scenario, owner.session.take_figure, owner.tell)
    line.text.value = "200 / 250 / 300"
    assert owner.session.scenario.inputs[figure.path].likely == 250
    assert "the tool's own" in unescape(line.beside.value)
    line.text.value = "-3"
    assert "not taken" in line.beside.value and owner.session.scenario.inputs[figure.path].likely == 250
    line.back.click()
    assert owner.session.scenario.inputs[figure.path] == figure


def test_who_published_a_figure_is_for_analysts() -> None:
    """A file of someone's own may name a person as a source; the owner's page says what it rests on only."""
    scenario = files.load(scenario_path("humid-coast-motorhome"))
    figure = next(one for one in scenario.inputs.values() if one.source)
    for sourced in (False, True):
        line = FigureLine(figure, figure, scenario, lambda old, new: None, print, sourced=sourced)
        said = unescape(line.box.children[0].value)
        assert BASES[figure.basis] in said
        assert (figure.source in said) == sourced


def test_the_partners_turn_says_why_the_two_differ(owner: OwnerPage) -> None:
    fill(owner)
    owner.folds["partner"].turn()
    partner = owner.partner
    assert partner is not None
    partner.demand.start.click()
    assert "must have questions" in partner.demand.said.value
    typed = {"otherwise": "only_looks", "keep": "4", "quote": "8130", "roof_age": "14 months"}
    for key, value in typed.items():
        control = {"otherwise": "chosen", "keep": "likely"}.get(key, "typed")
        partner.questions.fields[key].controls[control].value = value
    partner.demand.start.click()
    said = unescape(partner.demand.result.children[0].value)
    assert "by your partner's answers than by yours" in said and "what you would do otherwise" in said
    assert "By your partner's: " in said and f"mean over {FUTURES:,} futures." in said
    assert ">A shop reseals every year</td>" in said and "plan shop_every_year" not in said
    assert owner.session.entered.answers["otherwise"] == "shop_every_year"


def test_the_case_against_is_as_long_as_the_case_for(filled: OwnerPage) -> None:
    filled.folds["case"].turn()
    sides = filled.folds["case"].inside.children[0].value.split("<h3>Against")
    assert len(sides) == 2 and sides[0].count("<li>") == sides[1].count("<li>") >= 5


@pytest.fixture(scope="module")
def papers(filled: OwnerPage) -> list[tuple[str, bytes]]:
    """Make the papers of a page once."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(of_papers, "gather", partial(of_papers.gather, draws=DRAWS))
        filled.folds["papers"].turn()
        filled.papers.demand.start.click()
    shown = filled.papers.demand.result.children[0].value
    links = re.findall(r'download="([^"]+)" href="data:[^;]+;base64,([^"]+)"', shown)
    return [(name, base64.b64decode(content)) for name, content in links]


def test_papers_are_links_that_carry_them(papers: list[tuple[str, bytes]]) -> None:
    assert [name for name, _ in papers] == ["us.html", "us.pdf", "shop.html", "shop.pdf"]
    said = re.compile(rb"what you would do otherwise")
    assert papers[1][1].startswith(b"%PDF") and said.search(papers[0][1])
    assert not said.search(papers[2][1])


def test_an_answered_question_folds_when_another_is_answered_and_opens_again(owner: OwnerPage) -> None:
    first = owner.questions._groups[1]
    controls = {key: field.controls for key, field in owner.questions.fields.items()}
    controls["otherwise"]["chosen"].value = "shop_every_year"
    for key in ("climbs", "climbs_in_ten_years"):
        controls[key]["chosen"].value = False
    controls["reseal_price"]["typed"].value, controls["hour_value"]["typed"].value = "1100", "20"
    assert first.answered and first.line.layout.display == "none"
    owner.questions.fields["keep"].controls["likely"].value = "10"
    assert first.line.layout.display == "" and "1,100" in first.line.description
    first.line.click()
    assert first.line.layout.display == "none"
