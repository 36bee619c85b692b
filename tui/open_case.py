"""The case on the desk: what it is now, what was saved of it, and where."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from toeroom.case import Case, case_as_yaml, parse_case
from toeroom.errors import BadInput
from toeroom.files import write_whole
from toeroom.vocabulary import Vocabulary


@dataclass
class OpenCase:
    """`path` is None until the case has a file of its own; a demo case never has."""

    case: Case
    path: Path | None
    saved: Case
    before: list[Case] = field(default_factory=list)
    after: list[Case] = field(default_factory=list)

    def change(self, case: Case) -> None:
        """What the case is from now on; what it was can be had back."""
        if case != self.case:
            self.before.append(self.case)
            self.after.clear()
            self.case = case

    def undo(self) -> bool:
        """Back to what it was before the last change; False where there is none."""
        return self._step(self.before, self.after)

    def redo(self) -> bool:
        """Forward again to what was undone; False where nothing was, or it was changed since."""
        return self._step(self.after, self.before)

    def _step(self, out_of: list[Case], into: list[Case]) -> bool:
        if not out_of:
            return False
        into.append(self.case)
        self.case = out_of.pop()
        return True

    @property
    def unsaved(self) -> bool:
        """Whether leaving now would lose something."""
        return self.case != self.saved

    def save(self, path: Path, vocabulary: Vocabulary) -> None:
        """Writes the case to `path` and stays there. Raises `BadInput`; then nothing has changed."""
        write_case(self.case, vocabulary, path)
        self.path, self.saved = path, self.case


def write_case(case: Case, vocabulary: Vocabulary, path: Path) -> None:
    """The case into the file at `path`: written aside, read back, then put in its place at one stroke.

    Raises `BadInput` where that cannot be done; a file that was there is then as it was.
    """
    text = case_as_yaml(case, vocabulary)
    if parse_case(text, vocabulary, name=str(path)) != case:
        raise BadInput("would not read back as the same case", file=str(path), mend="nothing was written")
    try:
        write_whole(path.resolve(), text)
    except ValueError:
        raise BadInput(
            "cannot be written (not the name of a file)", file=str(path), mend="choose another place"
        ) from None
