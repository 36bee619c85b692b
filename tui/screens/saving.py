"""A screen with an open case: keeping it aside as it changes, saving it, leaving it."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from pathlib import Path

from textual.screen import Screen

from toeroom.case import Case
from toeroom.errors import BadInput
from toeroom.wording import printable
from tui.library import Library
from tui.naming import ask_place
from tui.open_case import OpenCase
from tui.screens.leaving import LeavingScreen

_NUMBERS = itertools.count(1)


class SavingScreen(Screen[None]):
    """What is not saved is kept aside, out of the person's own files, until it is saved or let go."""

    def __init__(self, library: Library, opened: OpenCase) -> None:
        super().__init__()
        self.library, self.book, self.open = library, library.book, opened
        self.kept_as = f"{opened.case.id}-{next(_NUMBERS)}"
        self.told_not_kept = False

    # --- for who builds on it ------------------------------------------------------------------------
    def settle(self) -> None:
        """Ends typing that is under way, so that the case holds all that was typed."""
        raise NotImplementedError

    def show_title(self) -> None:
        """Says which case this is, and whether it is saved."""
        raise NotImplementedError

    # --- aside ---------------------------------------------------------------------------------------
    def keep_aside(self, draft: Case | None = None) -> None:
        """Keeps the case as it is now; with `draft`, as it is being written."""
        case = draft or self.open.case
        try:
            if case != self.open.saved:
                self.library.aside.keep(self.kept_as, case, self.open.path, self.book.vocabulary)
            else:
                self.library.aside.clear(self.kept_as)
        except (BadInput, OSError) as fault:
            if not self.told_not_kept:
                self.told_not_kept = True
                said = f"what you state is not kept aside, so save often: {fault}"
                self.notify(said, severity="warning", markup=False, timeout=10)

    def let_go(self) -> None:
        """What was kept aside is no longer wanted."""
        try:
            self.library.aside.clear(self.kept_as)
        except OSError:
            # It stays where it is and is offered at the next start.
            return

    # --- leaving -------------------------------------------------------------------------------------
    def leave(self, then: Callable[[], object]) -> None:
        """Does `then`; where something is not saved, asks first."""
        self.settle()
        if not self.open.unsaved:
            then()
            return

        def answered(answer: str | None) -> None:
            if answer == "save":
                self._save(then)
            elif answer == "drop":
                then()

        self.app.push_screen(LeavingScreen(self.open.case.id), answered)

    # --- saving --------------------------------------------------------------------------------------
    def action_save(self) -> None:
        self._save()

    def action_save_as(self) -> None:
        self.settle()
        self._ask_where(None)

    def _save(self, then: Callable[[], object] | None = None) -> None:
        self.settle()
        if self.open.path is None:
            self._ask_where(then)
            return
        fault = self._write(self.open.path)
        if fault:
            self.notify(fault, severity="error", markup=False, timeout=10)
        else:
            self._saved(then)

    def _write(self, path: Path) -> str:
        """Saves to `path`; returns what went wrong, or nothing."""
        try:
            self.open.save(path, self.book.vocabulary)
        except BadInput as fault:
            return str(fault)
        return ""

    def _saved(self, then: Callable[[], object] | None) -> None:
        self.keep_aside()
        self.show_title()
        self.notify(f"saved: {printable(str(self.open.path))}", markup=False, timeout=3)
        if then is not None:
            then()

    def _ask_where(self, then: Callable[[], object] | None) -> None:
        start = str(self.open.path or f"{self.open.case.id}.yaml")
        ask_place(self.app, "Save the case in", start, self._write, lambda path: self._saved(then))
