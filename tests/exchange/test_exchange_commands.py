"""`toeroom cds-hooks` and `toeroom fhir` through real processes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.run import toeroom
from toeroom.errors import BadInput
from toeroom.exchange import need_extra

STOPPED = "cases_demo/open-wound-on-the-sole.yaml"
PAPERS = "cases_demo/papers-with-a-lapse.yaml"


def test_cards_are_a_response_a_line() -> None:
    done = toeroom("cds-hooks", STOPPED, PAPERS, "--json")
    first, second = (json.loads(line)["cards"] for line in done.stdout.splitlines())
    assert first[0]["indicator"] == "critical"
    assert second[0]["indicator"] != "critical"
    assert done.stderr == ""
    assert json.loads(toeroom("cds-hooks", STOPPED).stdout)["cards"] == first


def test_out_and_in_again(tmp_path: Path) -> None:
    sent = toeroom("fhir", "export", PAPERS, "--release", "R5", "--with-texts")
    assert "under toeroom's own code, for want of a standard one: hammertoe" not in sent.stdout
    assert "for want of a standard one: open_wound, past_ulcer" in sent.stderr
    bundle, case = tmp_path / "b.json", tmp_path / "c.yaml"
    bundle.write_text(sent.stdout, encoding="utf-8")
    done = toeroom("fhir", "import", str(bundle), "--to", str(case))
    assert (done.returncode, done.stderr) == (0, "")
    assert "case papers-with-a-lapse" in done.stdout
    plans = [json.loads(toeroom("plan", str(path), "--json").stdout) for path in (PAPERS, case)]
    assert plans[0] == plans[1]


def test_json_of_an_export_names_what_has_no_code_and_what_stayed() -> None:
    found = json.loads(toeroom("fhir", "export", STOPPED, "--json").stdout)
    assert found["release"] == "R4"
    assert "open_wound" in found["own_only"]
    assert {"title", "notes"} <= set(found["left_out"])
    assert found["not_sent"] == ["training"]
    assert found["bundle"]["resourceType"] == "Bundle"


def test_what_is_not_read_is_said_aside(tmp_path: Path) -> None:
    bundle = tmp_path / "b.json"
    other = {"resourceType": "Observation", "status": "final", "code": {"text": "Body weight"}}
    bundle.write_text(
        json.dumps({"resourceType": "Bundle", "type": "collection", "entry": [{"resource": other}]})
    )
    done = toeroom("fhir", "import", str(bundle), "--to", str(tmp_path / "My case, 2.yaml"), "--json")
    assert done.stderr == "toeroom: not read: Body weight: the code is not known here\n"
    found = json.loads(done.stdout)
    assert (found["case"], found["read"]) == ("My-case-2", 0)
    assert found["not_read"] == ["Body weight: the code is not known here"]
    assert found["deferral"]


def test_a_file_that_is_there_is_never_written_over(tmp_path: Path) -> None:
    bundle, case = tmp_path / "b.json", tmp_path / "c.yaml"
    bundle.write_text('{"resourceType": "Bundle", "type": "collection"}')
    case.write_text("case: kept\n")
    done = toeroom("fhir", "import", str(bundle), "--to", str(case))
    assert (done.returncode, done.stdout) == (2, "")
    assert "there is a file already" in done.stderr
    assert case.read_text() == "case: kept\n"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["fhir"], "VERB"),
        (["fhir", "export", "no-such.yaml"], "no such file"),
        (["fhir", "export", STOPPED, "--release", "R3"], "invalid choice"),
        (["fhir", "import", "no-such.json", "--to", "x.yaml"], "no such file"),
        (["fhir", "import", "README.md", "--to", "x.yaml"], "is not valid JSON"),
        (["fhir", "import", "README.md"], "--to"),
        (["fhir", "import", "tests", "--to", "x.yaml"], "this is a folder"),
        (["cds-hooks", "README.md"], "README.md"),
    ],
)
def test_bad_input_is_said_in_one_line(arguments: list[str], said: str) -> None:
    done = toeroom(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1, done.stderr
    assert said in done.stderr


def test_nothing_is_left_behind_where_the_case_cannot_be_written(tmp_path: Path) -> None:
    bundle = tmp_path / "b.json"
    bundle.write_text('{"resourceType": "Bundle", "type": "collection"}')
    done = toeroom("fhir", "import", str(bundle), "--to", str(tmp_path / "none/c.yaml"))
    assert done.returncode == 2
    assert "cannot be written" in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["b.json"]


def test_the_missing_extra_is_said_in_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    need_extra()
    monkeypatch.setattr("toeroom.exchange.find_spec", lambda name: None)
    with pytest.raises(BadInput, match=r"pip install 'toeroom\[exchange\]'"):
        need_extra()
