"""Broken rule books, each made by a small edit: the check meant for it finds it, and no other does."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.upkeep.checking import check_rules

HEAD = """topic: Our own
defaults:
  about: foot
  stage: advise
  source: [common-practice]
  pages: [uppers]
  author: test
  reviewed: 2026-11-25
  review_by: 2099-11-25
rules:
"""


def rule(
    name: str = "own",
    when: str = "[bunion]",
    then: str = "{advise: [soft_padded_upper]}",
    fires: str = "{left: {bunion: yes}}",
    silent: str = "{left: {bunion: no}}",
    more: str = "",
) -> str:
    text = f"""  - id: {name}
    title: A rule of our own called {name}
    when: {when}
    then: {then}
{more}    examples:
      fires: {fires}
      silent: {silent}
"""
    return text.replace(" \n", "\n")


GUARD = "    stage: guard\n"
WOUND = {"fires": "{left: {open_wound: yes}}", "silent": "{left: {open_wound: no}}"}
SWELLS = {"fires": "{left: {swelling: yes}}", "silent": "{left: {swelling: no}}"}
ROCKER = "{advise: [rocker_sole]}"

OWN = {
    # --- logic ------------------------------------------------------------------------------------
    "shadowed": (
        rule(then="{advise: [stretch_upper]}"),
        "adds nothing: wherever it speaks, 'bunion-build' speaks too",
    ),
    "shadowed by a wider any of": (
        rule(
            "own",
            "[claw_toes]",
            "{advise: [deep_toe_box]}",
            "{left: {claw_toes: yes}}",
            "{left: {bunion: yes}}",
        ),
        "adds nothing: wherever it speaks, 'bent-toes-build'",
    ),
    "shadowed by a weaker test": (
        rule("a", "[{sensation_lost: not no}]", "{advise: [snug_heel]}", "{}", "{left: {sensation_lost: no}}")
        + rule(
            "b", "[{sensation_lost: unknown}]", "{advise: [snug_heel]}", "{}", "{left: {sensation_lost: yes}}"
        ),
        "'b' adds nothing: wherever it speaks, 'a'",
    ),
    "shadowed by a wider limit": (
        rule(
            "own",
            "[{toe_room_mm: less than 6}]",
            "{advise: [longer_size]}",
            "{measures: {left: {foot_length_mm: 262, shoe_inner_length_mm: 265}}}",
            "{}",
        ),
        "'own' adds nothing: wherever it speaks, 'toe-room-under-10'",
    ),
    "shadowed where the other takes all values together": (
        rule(
            "a",
            "[{any of: [swelling, {swelling: unknown}]}]",
            "{advise: [snug_heel]}",
            "{}",
            "{left: {swelling: no}}",
        )
        + rule("b", "[{swelling: not no}, bunion]", "{advise: [snug_heel]}", "{left: {bunion: yes}}", "{}"),
        "'b' adds nothing: wherever it speaks, 'a'",
    ),
    "duplicate": (
        rule(
            when="[swelling]", then="{advise: [hook_and_loop_closure, elastic_laces, wide_opening]}", **SWELLS
        ),
        "'own' is a duplicate of 'swelling-closure'",
    ),
    "duplicate in another order": (
        rule("a", "[bunion, callus]", ROCKER, "{left: {bunion: yes, callus: yes}}")
        + rule("b", "[callus, bunion]", ROCKER, "{left: {bunion: yes, callus: yes}}"),
        "'b' is a duplicate of 'a'",
    ),
    "nearly a duplicate": (
        rule("a", "[bunion, {callus: no}]", ROCKER, "{left: {bunion: yes, callus: no}}")
        + rule("b", "[bunion, {callus: yes}]", ROCKER, "{left: {bunion: yes, callus: yes}}"),
        "'b' is 'a' but for one value: nearly a duplicate",
    ),
    "nearly a duplicate by its limit": (
        rule(
            "a",
            "[{insert_age_months: more than 40}]",
            ROCKER,
            "{measures: {left: {insert_age_months: 41}}}",
            "{measures: {left: {insert_age_months: 40}}}",
        )
        + rule(
            "b",
            "[{insert_age_months: less than 1}]",
            ROCKER,
            "{measures: {left: {insert_age_months: 0.5}}}",
            "{measures: {left: {insert_age_months: 2}}}",
        ),
        "'b' is 'a' but for one value",
    ),
    "advised and held back": (
        rule("a", "[swelling]", ROCKER, **SWELLS)
        + rule("b", "[swelling]", "{hold back: [rocker_sole]}", more=GUARD, **SWELLS),
        "'a' advises 'rocker_sole' in the same situation in which 'b' holds it back",
    ),
    "advised only where a stop holds it back": (
        rule("own", "[open_wound]", ROCKER, **WOUND),
        "advises 'rocker_sole' only where 'nothing-for-a-stopped-foot' holds it back",
    ),
    "advised only where a wound, traced through two states, holds it back": (
        rule("own", "[treated_as_wound, swelling]", ROCKER, "{left: {open_wound: yes, swelling: yes}}"),
        "advises 'rocker_sole' only where 'nothing-for-a-stopped-foot'",
    ),
    "always held back": (
        rule(
            "a",
            "[{toes_touch_top: yes}, callus]",
            "{hold back: [crest_pad]}",
            "{left: {toes_touch_top: yes, callus: yes}}",
            more=GUARD,
        )
        + rule(
            "b", "[toe_tip_callus]", "{hold back: [crest_pad]}", "{left: {toe_tip_callus: yes}}", more=GUARD
        )
        + rule(
            "c",
            "[toes_touch_top, callus, swelling]",
            "{advise: [crest_pad]}",
            "{left: {toes_touch_top: yes, callus: yes, swelling: yes}}",
        ),
        "'crest_pad' is always held back, by 'a', 'b'",
    ),
    "advised and warned against": (
        rule("a", "[swelling]", ROCKER, **SWELLS)
        + rule(
            "b",
            "[swelling]",
            '{caution: {text: "Never a rocker here.", on: [rocker_sole]}}',
            more=GUARD,
            **SWELLS,
        ),
        "'a' advises 'rocker_sole', and 'b' warns against it in the same situation",
    ),
    "wider than the engine joins": (
        rule(
            "own",
            "[{bunion: no}, {callus: no}, {swelling: no}, {hammertoe: no}, {claw_toes: no}, {flat_foot: no},"
            " {high_arch: no}, {thick_nails: no}, {cracked_heel: no}, {narrow_heel: no}, {heel_slips: no},"
            " {shoe_short: no}, {shoe_narrow: no}, {drop_foot: no}, {weak_ankle: no}, {blister: no}]",
            ROCKER,
            "{left: {bunion: no, callus: no, swelling: no, hammertoe: no, claw_toes: no, flat_foot: no,"
            " high_arch: no, thick_nails: no, cracked_heel: no, narrow_heel: no, heel_slips: no,"
            " shoe_short: no, shoe_narrow: no, drop_foot: no, weak_ankle: no, blister: no}}",
            "{}",
        ),
        "joins 17 facts in one branch",
    ),
    # --- ids and status -----------------------------------------------------------------------------
    "retired without a successor": (
        rule(more="    status: retired\n"),
        "does not say by what it is replaced",
    ),
    "replaced and still active": (
        rule(then=ROCKER, more="    replaced_by: bunion-build\n"),
        "is replaced by 'bunion-build' and still active",
    ),
    "replaced by itself": (rule(more="    status: retired\n    replaced_by: own\n"), "is replaced by itself"),
    "replaced by nothing": (
        rule(more="    status: retired\n    replaced_by: bunion-biuld\n"),
        "is replaced by 'bunion-biuld', which does not exist; did you mean 'bunion-build'?",
    ),
    "replaced by a retired rule": (
        rule("a", more="    status: retired\n    replaced_by: b\n")
        + rule("b", more="    status: retired\n    replaced_by: bunion-build\n"),
        "'a' is replaced by 'b', which is retired",
    ),
    "a retired id used again": (
        rule("bunion-build", more="    status: retired\n    replaced_by: own\n"),
        "is used already",
    ),
    # --- reading -------------------------------------------------------------------------------------
    "misspelt finding": (rule(when="[bunyon]", then=ROCKER), "did you mean 'bunion'?"),
    "misspelt item": (rule(then="{advise: [rocker_sol]}"), "did you mean 'rocker_sole'?"),
    "misspelt page": (rule(then=ROCKER, more="    pages: [uper]\n"), "there is no page 'uper'"),
    "unknown source": (rule(then=ROCKER, more="    source: [hearsay]\n"), "is not in sources.yaml"),
    "overdue": (rule(then=ROCKER, more="    review_by: 2020-01-01\n"), "the review was due on 2020-01-01"),
    "example that is silent": (
        rule(then=ROCKER, fires="{left: {callus: yes}}"),
        "stays silent in its example",
    ),
    "example that speaks": (
        rule(then=ROCKER, silent="{left: {bunion: yes}}"),
        "speaks in its example 'silent'",
    ),
    "example that is no case": (rule(then=ROCKER, fires="{left: {bunyon: yes}}"), "example 'fires'"),
    "absence in its own step": (
        rule(when="[bunion, {not advised: rocker_sole}]", then="{advise: [rocker_sole]}"),
        "absent before that is settled",
    ),
    # --- traps of YAML ----------------------------------------------------------------------------------
    "cut at a hash": (
        rule(then=ROCKER).replace("A rule of our own called own", "A shoe of width #4 is wide"),
        "what stands after '#' is not read",
    ),
    "Yes": (rule(when="[bunion: Yes]", then=ROCKER), "'Yes' is not how yes or no is written here"),
    "off": (rule(when="[bunion, callus: off]", then=ROCKER), "'off' is not how yes or no is written"),
    "Unknown": (rule(when="[bunion, callus: Unknown]", then=ROCKER), "is not how unknown is written"),
    "a sign for a limit": (rule(when='[toe_room_mm: "< 5"]', then=ROCKER), "write 'less than 5'"),
    "a decimal comma": (
        rule(when="\n      - ankle_arm_index: at most 0,90", then=ROCKER),
        "write 'at most 0.90'",
    ),
    "a limit that folds": (rule(when="\n      - toe_room_mm: > 25", then=ROCKER), "begins a folded text"),
    "a source cut at its comma": (
        rule(then=ROCKER, more="    source: [van-netten-2018, rec. 10]\n"),
        "the comma cuts 'van-netten-2018, rec. 10' in two",
    ),
    "a list without brackets": (
        rule(then="\n      advise: rocker_sole, snug_heel"),
        "is one text here, not a list",
    ),
    "an item twice": (rule(then="{advise: [rocker_sole, rocker_sole]}"), "stands twice in this list"),
    "a page twice, on lines of its own": (
        rule(then=ROCKER, more="    pages:\n      - uppers\n      - uppers\n"),
        "'uppers' stands twice in this list",
    ),
    "a day with dots": (rule(then=ROCKER, more="    reviewed: 25.11.2026\n"), "write 2026-11-25"),
    "a day without noughts": (rule(then=ROCKER, more="    review_by: 2099-1-5\n"), "write 2099-01-05"),
    "curly quotes": (rule(when="[ulcer_risk: “2”]", then=ROCKER), "curly quotes do not quote in YAML"),
    "an unseen space": (rule(then=ROCKER).replace("our own called", "our\u00a0own called"), "(U+00A0)"),
    "a tab": (rule(then=ROCKER).replace("    then", "\tthen"), "a tab indents this line"),
}
"""By name: the rules of a file of their own, and what the check says."""
SHIPPED = {
    "a contradiction within": (
        "socks.yaml", "    when: [sock_marks]", "    when: [sock_marks, {sock_marks: no}]"
    ),
    "limits that cross": (
        "fit.yaml",
        "      - toe_room_mm: more than 15\n      - toe_room_mm: at most 20",
        "      - toe_room_mm: more than 20\n      - toe_room_mm: at most 15",
    ),
    "a number below its range": (
        "stops.yaml", "toe_pressure_mmhg: less than 30", "toe_pressure_mmhg: less than 0"
    ),
    "two answers to one choice": (
        "inserts.yaml",
        "      - leg_difference_mm: more than 10\n",
        "      - short_leg: missing\n      - leg_difference_mm: more than 10\n",
    ),
    "a foot that is not there": (
        "papers.yaml", "      - deformity_excluded\n", "      - leg_amputated\n      - deformity_excluded\n"
    ),
    "a state that rules out the test beside it": (
        "stops.yaml",
        "    when: [treated_as_wound, wound_on_sole]",
        "    when: [treated_as_wound, {open_wound: no}, {blister: no}, {wound_on_sole: no}]",
    ),
    "a state denied that must follow": (
        "inserts.yaml",
        "      - prominent_met_heads\n      - any of: [callus, past_ulcer]",
        "      - callus\n      - {needs_width: not yes}",
    ),
}  # fmt: skip
"""By name: a file of the shipped rules, a text in it and what stands there instead."""


@pytest.fixture
def own_book(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "rules", tmp_path / "rules")
    (tmp_path / "kb").symlink_to(ROOT / "kb")
    return tmp_path


def test_the_shipped_book_has_none() -> None:
    assert [str(fault) for fault in check_rules(ROOT)] == []


@pytest.mark.parametrize("name", OWN)
def test_a_seeded_fault_is_found_by_its_check_alone(name: str, own_book: Path) -> None:
    text, said = OWN[name]
    (own_book / "rules/own.yaml").write_text(HEAD + text)
    faults = [str(fault) for fault in check_rules(own_book)]
    assert len(faults) == 1, faults
    assert said in faults[0]
    assert "line" in faults[0]


@pytest.mark.parametrize("name", SHIPPED)
def test_a_rule_that_can_never_speak_is_found(name: str, own_book: Path) -> None:
    file, before, after = SHIPPED[name]
    path = own_book / "rules" / file
    assert before in path.read_text()
    path.write_text(path.read_text().replace(before, after, 1))
    faults = [str(fault) for fault in check_rules(own_book)]
    assert any("can never speak" in fault and file in fault for fault in faults), faults
    # What else is said follows from it: an example in which the rule no longer speaks.
    assert [f for f in faults if "can never speak" not in f and "stays silent" not in f] == []
