"""Two desks began from the same version: what each changed, and what the two come to together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from toeroom.errors import BadInput, nearest
from toeroom.records.document import FieldChange, changed_text, changes_between, fields_of, shown

MINE, THEIRS = "mine", "theirs"


@dataclass(frozen=True, slots=True)
class Clash:
    """A field that both changed, and not to the same."""

    field: str
    base: str | None
    mine: str | None
    theirs: str | None

    def as_json(self) -> dict[str, str | None]:
        return {"field": self.field, "base": self.base, "mine": self.mine, "theirs": self.theirs}

    def __str__(self) -> str:
        return f"{self.field}: was {shown(self.base)}; yours {shown(self.mine)}; theirs {shown(self.theirs)}"


@dataclass(frozen=True, slots=True)
class Merge:
    """mine, theirs: what each side changed since the base. text: the case file with both; None while
    clashes stand.
    """

    mine: tuple[FieldChange, ...]
    theirs: tuple[FieldChange, ...]
    clashes: tuple[Clash, ...]
    text: str | None


def merge(base: str, mine: str, theirs: str, take: Mapping[str, str] | None = None) -> Merge:
    """What two case files that began from `base` come to, field by field.

    `take` settles clashes: a field to `mine` or `theirs`. Raises `BadInput` where it names no clash.
    """
    before = fields_of(base)
    ours, others = fields_of(mine), fields_of(theirs)
    my_changes, their_changes = changes_between(before, ours), changes_between(before, others)
    touched = {change.field for change in their_changes}
    clashes = tuple(
        Clash(c.field, c.before, c.after, others.get(c.field))
        for c in my_changes
        if c.field in touched and c.after != others.get(c.field)
    )
    taken = dict(take or {})
    _refuse_unknown(taken, clashes)
    open_clashes = tuple(clash for clash in clashes if clash.field not in taken)
    if open_clashes:
        return Merge(my_changes, their_changes, open_clashes, None)
    wanted = tuple(c for c in my_changes if taken.get(c.field) != THEIRS)
    return Merge(my_changes, their_changes, (), changed_text(theirs, wanted))


def _refuse_unknown(taken: Mapping[str, str], clashes: tuple[Clash, ...]) -> None:
    fields = [clash.field for clash in clashes]
    for field, side in taken.items():
        if field not in fields:
            raise BadInput(
                f"'{field}' is no field that both changed", file="--take", mend=nearest(field, fields)
            )
        if side not in (MINE, THEIRS):
            raise BadInput(f"'{side}' is neither mine nor theirs", file="--take", mend=f"{field}=mine")
