"""Whole journeys in a real terminal, by keys alone."""

from __future__ import annotations

import json
import os
import re
import signal
from pathlib import Path

import pytest

from tests.cli.run import toeroom
from tests.terminal.conftest import Terminal

COLOUR = re.compile(r"\x1b\[([\d;:]*)m")
STOP = "STOP  left foot is not fitted today"


def codes(coloured: str) -> set[str]:
    """Every code for a colour in what a pane shows."""
    found = {
        code for codes in COLOUR.findall(coloured) for code in re.split(r"(?<![34]8)(?<!8[;:]5);", codes)
    }
    return {code for code in found if re.fullmatch(r"(3[0-7]|4[0-7]|9[0-7]|10[0-7]|[34]8[;:].*)", code)}


def test_a_newer_fitter_looks_a_situation_up_and_acts_on_it(terminal: Terminal) -> None:
    terminal.start()
    terminal.types("h")
    terminal.sees("search: say what you see")
    terminal.types("/blister on the heel")
    terminal.sees("Handbook  Blister: handle it as a wound")
    terminal.presses("Enter")
    terminal.sees("Enter follow")
    terminal.presses("F6")
    terminal.sees("Cases", "open-wound-on-the-sole")
    terminal.presses("Down", "Down", "Down", "Down", "Enter")
    terminal.sees(STOP, "STOP: this first", "Wound to the foot service")
    terminal.presses("Tab")
    terminal.types("w")
    terminal.sees("Why: ", "because")
    terminal.presses("Escape")
    terminal.sees("STOP: this first")


def test_a_case_typed_in_one_go_is_planned_and_saved_whole(terminal: Terminal, tmp_path: Path) -> None:
    terminal.start(size=(80, 24))
    terminal.types("nbench-1\r/open wound\ry")
    terminal.sees(STOP, "not saved", "bench-1")
    # Esc on its own: in one breath with what follows it would be read as alt.
    terminal.presses("Escape")
    terminal.sees("Diabetes")
    terminal.types("/foot length\r262\r258\r")
    terminal.sees("262", "258")
    terminal.presses("C-s")
    terminal.sees("Save the case in")
    terminal.presses("Enter")
    terminal.sees("saved: bench-1.yaml")
    plan = json.loads(toeroom("plan", "--json", str(tmp_path / "bench-1.yaml")).stdout)
    assert plan["case"] == "bench-1"
    assert plan["stop"]
    assert [p.name for p in tmp_path.iterdir() if p.name.endswith(".part")] == []


def test_made_smaller_and_larger_the_stop_and_the_line_stay_in_sight(terminal: Terminal) -> None:
    terminal.start()
    terminal.types("nb\r/open wound\ry")
    terminal.sees(STOP)
    for size in ((80, 24), (120, 36), (200, 60), (80, 24)):
        terminal.resize(*size)
        terminal.sees(STOP, "▸ Open wound", "■ yes", "F1 help")
    terminal.types("n")
    terminal.until(lambda: STOP not in terminal.text)


@pytest.mark.parametrize("term", ["screen-16color", "xterm", "linux", "xterm-256color"])
def test_a_terminal_of_few_colours_gets_no_others(terminal: Terminal, term: str) -> None:
    # What tmux itself would say of its colours is not asked for.
    terminal.start(TERM=term)
    terminal.types("nb\r/open wound\ry")
    terminal.sees(STOP)
    shown = codes(terminal.coloured)
    assert shown
    deep = {code for code in shown if re.match(r"[34]8[;:]", code)}
    if term == "xterm-256color":
        assert {code for code in deep if not re.match(r"[34]8[;:]5", code)} == set()
    else:
        assert deep == set()


def test_without_colour_no_code_for_one_goes_out(terminal: Terminal) -> None:
    terminal.start(NO_COLOR="1")
    terminal.types("nb\r/open wound\ry")
    terminal.sees(STOP, "■ yes", "not saved")
    grey = {code for code in codes(terminal.coloured) if not is_grey(code)}
    assert grey == set()


def is_grey(code: str) -> bool:
    """Whether a code is for black, white or a shade between."""
    if not code.startswith(("38", "48")):
        return int(code) % 10 in (0, 7)
    _, kind, *numbers = (int(n) for n in re.split("[;:]", code) if n)
    if kind == 2:
        return len(set(numbers[-3:])) == 1
    of_the_cube = {16, 59, 102, 145, 188, 231}
    return numbers[0] >= 232 or numbers[0] in of_the_cube | {0, 7, 8, 15}


def test_the_plan_is_copied_to_the_clipboard_of_the_terminal(terminal: Terminal) -> None:
    terminal.start()
    terminal.types("nb\r/open wound\ry")
    terminal.sees(STOP)
    terminal.presses("F7")
    terminal.sees("copied: the plan")
    terminal.until(lambda: "Wound to the foot service" in terminal.tmux("show-buffer"))


@pytest.mark.parametrize("killed_by", [signal.SIGHUP, signal.SIGKILL])
def test_a_terminal_that_goes_away_leaves_no_file_half_written(
    terminal: Terminal, tmp_path: Path, killed_by: signal.Signals
) -> None:
    terminal.start(size=(80, 24))
    terminal.types("nb\ry")
    terminal.presses("C-s", "Enter")
    file = tmp_path / "b.yaml"
    terminal.until(file.exists)
    process = terminal.process
    for _ in range(6):
        terminal.types("n")
        terminal.presses("C-s")
        terminal.types("y")
        terminal.presses("C-s")
    os.kill(process, killed_by)
    terminal.until(lambda: not Path(f"/proc/{process}").exists())
    done = toeroom("plan", "--json", str(file))
    assert done.returncode == 0, done.stderr
