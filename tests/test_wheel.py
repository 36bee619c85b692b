"""A built wheel holds the book and works where there is no checkout."""

from __future__ import annotations

import json
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

from tests.conftest import ROOT


def run(*command: str | Path, cwd: Path) -> str:
    return subprocess.run(
        [str(c) for c in command], cwd=cwd, capture_output=True, text=True, check=True
    ).stdout


def test_wheel_works_outside_the_checkout(tmp_path: Path) -> None:
    run(sys.executable, "-m", "build", "--wheel", "--outdir", tmp_path, ROOT, cwd=tmp_path)
    wheel = next(tmp_path.glob("*.whl"))
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
    for part in (
        "kb/sources.yaml",
        "rules/vocabulary.yaml",
        "cases_demo/bunion-and-numb-feet.yaml",
        "papers/plan.md",
    ):
        assert f"toeroom/shipped/{part}" in names
    assert {"tui/app.py", "tui/serving/page/page.html"} <= set(names)

    home = tmp_path / "venv"
    venv.create(home, with_pip=True)
    run(home / "bin/python", "-m", "pip", "install", "--quiet", wheel, cwd=tmp_path)
    site = run(home / "bin/python", "-c", "import toeroom; print(toeroom.__file__)", cwd=tmp_path)
    assert str(home) in site
    demo = Path(site.strip()).parent / "shipped/cases_demo/bunion-and-numb-feet.yaml"
    plan = json.loads(run(home / "bin/toeroom", "plan", "--json", demo, cwd=tmp_path))
    assert plan["case"] == "bunion-and-numb-feet"
    assert plan["items"]
    assert run(home / "bin/toeroom", "paper", "plan", demo, cwd=tmp_path).startswith("# Plan\n")
    assert run(home / "bin/toeroom", "rules", "check", cwd=tmp_path) == "the rules hold together\n"
    # The steps that make a store's tables are in the wheel too.
    store = tmp_path / "store.db"
    run(home / "bin/toeroom", "store", "save", demo, "--who", "kl", "--store", store, cwd=tmp_path)
    checked = run(home / "bin/toeroom", "store", "check", "--store", store, cwd=tmp_path)
    assert "cases: 1, versions: 1" in checked
