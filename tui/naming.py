"""Asking for an id of a new case, or for a place to write to."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from textual.app import App

from toeroom.case import Case, parse_case
from toeroom.errors import BadInput
from toeroom.vocabulary import Vocabulary
from tui.screens.prompt import PromptScreen


def ask_id(app: App[Any], vocabulary: Vocabulary, start: str, named: Callable[[Case], None]) -> None:
    """Asks for an id; `named` is told the blank case that has it."""
    made: dict[str, Case] = {}

    def check(text: str) -> str:
        try:
            made[text] = parse_case(f"case: {json.dumps(text)}\n", vocabulary)
        except BadInput as fault:
            return f"{fault.what}; {fault.mend}"
        return ""

    def done(text: str | None) -> None:
        if text is not None:
            named(made[text])

    hint = "Letters, digits and dashes; never a person's name."
    app.push_screen(PromptScreen("An id for the new case", hint, start, check), done)


def ask_place(
    app: App[Any],
    title: str,
    start: str,
    write: Callable[[Path], str],
    written: Callable[[Path], object],
    hint: str = "A path.",
) -> None:
    """Asks where to write. `write` says what went wrong, or nothing; a file that is there is replaced only
    when Enter is pressed twice."""
    warned: set[Path] = set()

    def check(text: str) -> str:
        if not text:
            return "a path is needed"
        path = place(text)
        try:
            if path.is_dir():
                return "this is a folder; name a file in it"
            if path.exists() and path not in warned:
                warned.add(path)
                return "there is a file of this name; Enter again replaces it"
        except (OSError, ValueError):
            return "this is not the name of a file; choose another place"
        return write(path)

    def done(text: str | None) -> None:
        if text is not None:
            written(place(text))

    app.push_screen(PromptScreen(title, hint, start, check), done)


def place(text: str) -> Path:
    """The path that `text` names; `~` is the home folder where there is one."""
    try:
        return Path(text).expanduser()
    except RuntimeError:
        return Path(text)
