"""A passage as it is quoted: words as words, rows of a table as rows, under the head of their columns."""

from __future__ import annotations

from dataclasses import dataclass

from toeroom.handbook.sections import Section, tables_of, tokens_of


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows of a table, as many cells each as `head`; a cell may be empty."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def lines(self) -> tuple[str, ...]:
        """A line a row, each cell with the name of its column: `US men — Narrow: B; Wide: EE`."""
        return tuple(self._line(row) for row in self.rows)

    def _line(self, row: tuple[str, ...]) -> str:
        named = zip(self.head[1:], row[1:], strict=True)
        more = "; ".join(f"{name}: {cell}" if name else cell for name, cell in named if cell)
        return " — ".join(part for part in (row[0], more) if part)


Quote = tuple[str | Rows, ...]


def quoted(text: str, section: Section | None) -> Quote:
    """`text`, a passage of `section`, in pieces: a row it has part of is quoted whole."""
    lines = section.text.split("\n") if section else []
    begin = " ".join(lines).find(text.removesuffix(" …"))
    if section is None or begin < 0:
        return (text,)
    end = begin + len(text.removesuffix(" …"))
    tables = tables_of(tokens_of(section.markdown))
    rows = {"; ".join(filter(None, row)): (table, row) for table in tables for row in table}
    found: list[str | Rows] = []
    at = 0
    for line in lines:
        part = line[max(0, begin - at) : max(0, end - at)]
        if begin > at and part[:1].islower():
            part = f"… {part}"
        at += len(line) + 1
        last = found[-1] if found else None
        if part and line in rows:
            table, row = rows[line]
            if row == table[0]:
                continue
            if isinstance(last, Rows) and last.head == table[0]:
                found[-1] = Rows(last.head, (*last.rows, row))
            else:
                found.append(Rows(table[0], (row,)))
        elif part and isinstance(last, str):
            found[-1] = f"{last} {part}"
        elif part:
            found.append(part)
    if found and isinstance(found[-1], str) and text.endswith(" …"):
        found[-1] += " …"
    return tuple(found) or (text,)
