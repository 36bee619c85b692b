"""Planning: twice over, in stages, held back before advised, explained."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from toeroom import cli
from toeroom.book import Book
from toeroom.case import Case, parse_case
from toeroom.errors import EnginesDiffer
from toeroom.rules.asking import ask_next
from toeroom.rules.planning import Planner
from toeroom.rules.whatif import changes
from toeroom.sheet import make_sheet


def case(book: Book, text: str) -> Case:
    return parse_case(f"case: test\nas_of: 2026-11-25\n{text}", book.vocabulary)


def test_where_the_engines_differ_there_is_no_plan(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    planner = Planner(book.rules, book.vocabulary, "test")
    _, engine = planner.engines
    monkeypatch.setattr(engine, "run", lambda facts: frozenset())
    with pytest.raises(EnginesDiffer) as caught:
        planner.plan(case(book, "left: {bunion: yes}"))
    assert ("bunion-build", "left") in caught.value.report["only_plain_engine"]
    assert caught.value.report["facts"]["left.bunion"] == "yes"


def test_the_difference_is_written_down_for_the_maintainer(
    book: Book, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    monkeypatch.setattr("toeroom.rules.engine.Engine.run", lambda self, facts: frozenset())
    assert cli.main(["plan", "--json", "tests/data/cases_dev/ev-001.yaml"]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    report = json.loads(next(tmp_path.glob("toeroom/engines-differ-*.json")).read_text())
    assert report["case"] == "ev-001"


def test_an_error_inside_an_action_is_not_swallowed(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    planner = Planner(book.rules, book.vocabulary, "test")
    _, engine = planner.engines

    class Broken(list):  # type: ignore[type-arg]
        def append(self, _: object) -> None:
            raise ZeroDivisionError

    monkeypatch.setattr(engine, "recorded", Broken())
    # The actions hold the list's old append; a ruleset made with a broken one must not pass in silence.
    monkeypatch.setattr("toeroom.rules.engine.Engine._definition", _breaking(engine))
    other = Planner(book.rules, book.vocabulary, "test")
    with pytest.raises(RuntimeError, match="durable_rules"):
        other.plan(case(book, "left: {bunion: yes}"))


def _breaking(engine):  # type: ignore[no-untyped-def]
    original = type(engine)._definition

    def definition(self, branch, name):  # type: ignore[no-untyped-def]
        made = original(self, branch, name)

        def fail(_: object) -> None:
            raise ZeroDivisionError

        return {**made, "run": fail}

    return definition


def test_facts_do_not_stay_behind_in_the_engine(book: Book) -> None:
    stopped = case(book, "left: {open_wound: yes}")
    quiet = case(book, "left: {open_wound: no}")
    for _ in range(3):
        assert book.planner.plan(stopped).stop
        assert not book.planner.plan(quiet).stop


def test_an_implied_finding_says_what_it_was_read_from(book: Book) -> None:
    plan = book.planner.plan(case(book, "left: {wound_on_sole: yes}"))
    state = next(s for s in plan.states if s.id == "treated_as_wound")
    match = state.reasons[0].matched[0]
    assert (match.id, match.value, match.rule) == ("open_wound", "yes", "wound-on-sole-means-wound")
    assert match.from_[0].id == "wound_on_sole"


def test_implications_never_override_what_was_stated(book: Book) -> None:
    text = "left: {wound_on_sole: yes, open_wound: no, ulcer_healed_recently: yes, past_ulcer: no}"
    outcome = book.planner.run(case(book, text))
    assert outcome.findings["open_wound", "left"] == "no"
    assert outcome.findings["past_ulcer", "left"] == "no"


def test_a_filament_count_outranks_the_word_and_says_so(book: Book) -> None:
    text = "left: {sensation_lost: no}\nmeasures: {left: {filament_sites_missed: 1}}"
    plan = book.planner.plan(case(book, text))
    assert plan.line("soft_padded_upper", "left") is not None
    assert any("disagree" in caution for caution in plan.cautions)


def test_a_calculated_value_names_what_it_came_from(book: Book) -> None:
    text = "measures: {left: {ankle_pressure_mmhg: 114}, person: {arm_pressure_mmhg: 126}}"
    plan = book.planner.plan(case(book, text))
    line = plan.line("refer_vascular", "left")
    assert line is not None
    states = {s.id: s for s in plan.states}
    match = states["circulation_doubt"].reasons[0].matched[0]
    assert match.as_json() == {
        "calculated": "ankle_arm_index",
        "side": "left",
        "value": 0.9,
        "from": [
            {"measure": "ankle_pressure_mmhg", "side": "left", "value": 114},
            {"measure": "arm_pressure_mmhg", "side": "person", "value": 126},
        ],
    }


def test_provisional_risk_is_marked(book: Book) -> None:
    plan = book.planner.plan(case(book, "left: {sensation_lost: yes, bunion: yes}"))
    risk = next(s for s in plan.states if s.id == "ulcer_risk")
    assert risk.as_json()["provisional"] is True
    shoe = plan.line("therapeutic_shoe", "left")
    assert shoe is not None
    assert any("diabetes" in caution for caution in shoe.cautions)


def test_both_legs_amputated_leaves_socks_papers_and_falls(book: Book) -> None:
    text = (
        "person: {diabetes: yes, us_medicare: yes, fall_history: yes, sock_marks: yes}\n"
        "left: {leg_amputated: yes, bunion: yes}\nright: {leg_amputated: yes}"
    )
    plan = book.planner.plan(case(book, text))
    assert plan.state("ulcer_risk", "person") == ""
    assert {line.section for line in plan.lines} == {"stop", "socks", "paperwork"}
    assert plan.state("benefit_qualifies", "person") == "yes"


def test_two_closures_are_one_choice_in_the_text(book: Book) -> None:
    plan = book.planner.plan(case(book, "left: {swelling: yes}"))
    part = next(p for p in make_sheet(plan, book.vocabulary).parts if p.section == "build")
    assert any(" or " in entry.label and "laces" in entry.label for entry in part.entries)


def test_several_shoes_on_a_foot_are_one_line_the_highest_first(book: Book) -> None:
    text = (
        "person: {diabetes: yes}\nleft: {sensation_lost: yes, charcot_inactive: yes, midfoot_prominence: yes}"
    )
    plan = book.planner.plan(case(book, text))
    part = next(p for p in make_sheet(plan, book.vocabulary).parts if p.section == "footwear")
    labels = [(entry.label, entry.sides) for entry in part.entries]
    assert labels[0][0].startswith("Custom-moulded shoe, as ")
    assert {sides for _, sides in labels} == {"left", "right"}


def test_ask_next_asks_first_what_would_stop_the_fitting(book: Book) -> None:
    questions = ask_next(book.planner, case(book, "left: {bunion: yes}"))
    assert questions[0].weight >= 20
    assert [q.weight for q in questions] == sorted((q.weight for q in questions), reverse=True)
    assert {"rest_pain", "cold_or_blue_foot"} >= {questions[0].id}


def test_ask_next_never_asks_what_is_known_or_what_is_not_there(book: Book) -> None:
    stated = case(book, "left: {leg_amputated: yes}\nright: {open_wound: no, bunion: yes}")
    places = {(q.id, q.side) for q in ask_next(book.planner, stated, 200)}
    assert not {place for place in places if place[1] == "left"}
    assert ("open_wound", "right") not in places
    assert ("leg_amputated", "right") not in places


def test_a_leg_difference_without_a_side_asks_which(book: Book) -> None:
    questions = ask_next(book.planner, case(book, "measures: {person: {leg_difference_mm: 14}}"), 200)
    assert "short_leg" in {q.id for q in questions}


def test_changes_are_none_where_nothing_changes(book: Book) -> None:
    one = case(book, "left: {bunion: yes}")
    assert changes(book.planner.plan(one), book.planner.plan(one)) == ()


def test_as_of_is_today_where_it_is_left_out(book: Book) -> None:
    read = parse_case("case: x\n", book.vocabulary, today=date(2026, 1, 2))
    assert read.as_of == date(2026, 1, 2)
