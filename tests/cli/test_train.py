"""`toeroom train` through real processes and, by hand, through a pseudo-terminal."""

from __future__ import annotations

import json
import os
import pty
import select
import signal
import sys
import time
from pathlib import Path

import pytest

from tests.cli.run import toeroom
from tests.conftest import ROOT

WOUND = "cases_demo/open-wound-on-the-sole.yaml"
SCRIPT = """
- stage: look
  ask: [open_wound, wound_on_sole, infection_signs]
  stop: [left]
  items: [refer_wound_care@left, stop_wearing_shoe@left, limit_walking@left]
  say: Not this foot, not today.
- stage: touch
  ask: [sensation_lost, pulses_absent]
"""


@pytest.fixture
def script(tmp_path: Path) -> Path:
    path = tmp_path / "answers.yaml"
    path.write_text(SCRIPT)
    return path


def test_a_scripted_trainee_is_marked_the_same_every_time(script: Path) -> None:
    first, again = (toeroom("train", WOUND, "--answers", str(script), "--json") for _ in range(2))
    assert (first.returncode, first.stderr) == (0, "")
    assert first.stdout == again.stdout
    told = json.loads(first.stdout)
    assert told["closed"] is True
    assert told["harm"] == 0
    assert 0 < told["score"] < 100
    marks = {(m["item"], m["side"]): m["verdict"] for m in told["marks"]}
    assert marks["stop", "left"] == "right"
    assert marks["refer_wound_care", "left"] == "right"
    assert marks["offloading_device", "left"] == "missed"
    assert [stage["stage"] for stage in told["stages"]][:2] == ["referral", "look"]
    assert "licensed clinicians" in told["deferral"]


def test_json_lines_say_the_same_as_yaml(script: Path, tmp_path: Path) -> None:
    lines = [
        {
            "stage": "look",
            "ask": ["open_wound", "wound_on_sole", "infection_signs"],
            "stop": ["left"],
            "items": ["refer_wound_care@left", "stop_wearing_shoe@left", "limit_walking@left"],
            "say": "Not this foot, not today.",
        },
        {"stage": "touch", "ask": ["sensation_lost", "pulses_absent"]},
    ]
    other = tmp_path / "answers.jsonl"
    other.write_text("".join(json.dumps(line) + "\n" for line in lines))
    by_yaml, by_lines = (toeroom("train", WOUND, "--answers", str(p), "--json") for p in (script, other))
    assert by_yaml.stdout == by_lines.stdout


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            "ask: [open_wound",
            "ask: [open_wond",
            "line 2: 'open_wond' is not known here; did you mean 'open_wound'?",
        ),
        ("ask: [open_wound", "ask: [heel_slips", "'heel_slips' comes later"),
        ("ask: [open_wound,", "ask: [open_wound, open_wound,", "was asked already"),
        ("refer_wound_care@left", "refer_wound_care", "is chosen for left or right"),
        ("refer_wound_care@left", "refer_wond_care@left", "did you mean 'refer_wound_care'?"),
        ("stop: [left]", "stop: [middle]", "'middle' cannot be stopped"),
        ("- stage: touch", "- stage: tuch", "there is no stage 'tuch'"),
        ("- stage: touch", "- stage: referral", "out of order"),
        ("say:", "tell:", "'tell' is not known here"),
    ],
)
def test_a_script_that_cannot_be_followed_is_refused_in_a_line(
    script: Path, old: str, new: str, said: str
) -> None:
    assert old in SCRIPT
    script.write_text(SCRIPT.replace(old, new, 1))
    done = toeroom("train", WOUND, "--answers", str(script), "--json")
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_the_debrief_is_kept_in_three_ways(script: Path, tmp_path: Path) -> None:
    for ending, sign in ((".md", "# Debrief"), (".html", "<!DOCTYPE html>"), (".txt", "Debrief:")):
        kept = tmp_path / f"kept{ending}"
        done = toeroom("train", WOUND, "--answers", str(script), "--debrief", str(kept))
        assert (done.returncode, done.stderr) == (0, "")
        assert kept.read_text().startswith(sign)
        assert "open-wound" in kept.read_text()
    refused = toeroom("train", WOUND, "--answers", str(script), "--debrief", str(tmp_path / "kept.pdf"))
    assert refused.returncode == 2
    assert "end it in .md, .html or .txt" in refused.stderr


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["open-wound-on-the-sol"], "did you mean 'open-wound-on-the-sole'?"),
        ([WOUND, "--json"], "add --answers FILE"),
        ([WOUND, "--trainee", "Anna"], "never a name"),
        ([], "see 'toeroom train --list'"),
        (["--resume"], "no session was left unfinished"),
    ],
)
def test_what_cannot_be_trained_is_said_in_a_line(tmp_path: Path, arguments: list[str], said: str) -> None:
    done = toeroom("train", *arguments, "--sessions", str(tmp_path))
    assert done.returncode == 2
    assert said in done.stderr
    assert len(done.stderr.splitlines()) == 1


# --- by hand -----------------------------------------------------------------------------------------
class Terminal:
    """A process on a pseudo-terminal that is typed into and read from."""

    def __init__(self, *arguments: str) -> None:
        self.pid, self.handle = pty.fork()
        if self.pid == 0:  # pragma: no cover - the other process
            os.chdir(ROOT)
            os.environ["TERM"] = "dumb"
            os.execv(sys.executable, [sys.executable, "-m", "toeroom", *arguments])
        self.seen = ""

    def until(self, text: str) -> str:
        """Reads until `text` is seen; returns what was seen since the last time."""
        end = time.monotonic() + 60
        while text not in self.seen:
            assert time.monotonic() < end, f"'{text}' never came; seen: {self.seen}"
            if select.select([self.handle], [], [], 1)[0]:
                try:
                    self.seen += os.read(self.handle, 65536).decode(errors="replace")
                except OSError:
                    break
        before, found, after = self.seen.partition(text)
        assert found, f"'{text}' never came; seen: {before}"
        self.seen = after
        return before

    def type(self, line: str) -> None:
        os.write(self.handle, f"{line}\n".encode())

    def kill(self) -> None:
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        os.close(self.handle)

    def end(self) -> int:
        status = os.waitpid(self.pid, 0)[1]
        os.close(self.handle)
        return os.waitstatus_to_exitcode(status)


def test_a_journey_by_hand_that_is_killed_and_gone_on_with(tmp_path: Path) -> None:
    options = ["--sessions", str(tmp_path), "--trainee", "T7"]
    terminal = Terminal("train", "open-wound-on-the-sole", *options)
    terminal.until("[1 of 6] Referral")
    for line, answer in (
        ("on", "[2 of 6] First look"),
        ("list sole", "Wound on the sole"),
        ("ask open wound", "Open wound: left yes, right no"),
        ("ask blood", "which:"),
        ("items socks", "Socks: Padded, seam-free socks"),
        ("choose therapeutic", "for which foot?"),
        ("choose wound to the foot service left", "chosen: Wound to the foot service, left"),
        ("stop left", "stopped: left; refer soon"),
        ("dance", "'dance' is not known here"),
    ):
        terminal.until("> ")
        terminal.type(line)
        terminal.until(answer)
    terminal.kill()

    terminal = Terminal("train", "--resume", *options)
    shown = terminal.until("[2 of 6] First look")
    assert "Open wound: left yes, right no" in shown
    assert "stop left, refer soon" in shown
    assert "Wound to the foot service, left" in shown
    terminal.until("> ")
    terminal.type("end")
    debrief = terminal.until("Kept in")
    assert "Stop, left: right" in debrief
    assert "What never came to light" in debrief
    assert terminal.end() == 0

    (kept,) = tmp_path.glob("*.session.jsonl")
    again = toeroom("train", str(kept), "--json")
    assert json.loads(again.stdout)["trainee"] == "T7"
    assert toeroom("train", "--resume", *options).returncode == 2


def test_a_trainer_checks_a_case_of_their_own(tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    own.write_text(Path(ROOT / WOUND).read_text().replace("covers: [refer_wound_care", "covers: [toe_filler"))
    good, bad = toeroom("train", "--check"), toeroom("train", "--check", str(own), WOUND)
    assert (good.returncode, good.stderr) == (0, "")
    assert "nothing is wrong" in good.stdout
    assert bad.returncode == 1
    assert bad.stdout.splitlines() == [
        f"{own}, line 22: 'toe_filler' is never in the plan; state what leads to it, or leave it out"
    ]


def test_a_variant_is_the_same_for_the_same_seed(script: Path) -> None:
    first, again, other = (
        json.loads(toeroom("train", WOUND, "--variant", n, "--answers", str(script), "--json").stdout)
        for n in ("5", "5", "0")
    )
    assert first == again
    assert first["case"] == "open-wound-on-the-sole-v5"
    assert first["marks"] != other["marks"]
    assert toeroom("train", WOUND, "--variant", "-1").returncode == 2


def test_progress_next_table_and_room_are_read_from_the_sessions(tmp_path: Path) -> None:
    options = ["--sessions", str(tmp_path), "--trainee", "T7"]
    terminal = Terminal("train", "boats", *options)
    terminal.until("> ")
    terminal.type("end")
    terminal.until("Kept in")
    assert terminal.end() == 0
    shown = toeroom("train", "--progress", *options).stdout
    assert "T7: walks 1, cases 1" in shown
    assert "boats" in shown
    told = json.loads(toeroom("train", "--next", "--json", *options).stdout)
    assert told["case"] != "boats"
    assert toeroom("train", "--csv", *options).stdout.splitlines()[1].startswith("T7,boats,boats,simple,")
    room = toeroom("train", "--class", str(tmp_path))
    assert "boats: walks 1, closed 1" in room.stdout
    assert "1 Go on (T7)" in room.stdout
    assert json.loads(toeroom("train", "--class", str(tmp_path), "--json").stdout)["sessions"] == 1
    assert "whose next case?" in toeroom("train", "--next").stderr
