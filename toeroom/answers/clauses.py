"""Sentences and clauses of a row of tokens."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from toeroom.answers.patterns import Hit
from toeroom.answers.tokens import Token

LONGEST = 120
"""Tokens after which a sentence is cut: keeps the work linear in texts without full stops."""

_SHORT_FORMS = {
    "hx",
    "approx",
    "dr",
    "mr",
    "mrs",
    "ms",
    "vs",
    "eg",
    "ie",
    "st",
    "incl",
    "prev",
    "rt",
    "lt",
    "l",
    "r",
}
_SIDE_FORMS = {"rt", "lt", "l", "r"}
_PLACES = {
    "foot",
    "leg",
    "ankle",
    "heel",
    "side",
    "toe",
    "big",
    "great",
    "hallux",
    "shoe",
    "forefoot",
    "sole",
}
_SUBJECTS = {"there", "he", "she", "they", "has", "have", "is", "was", "i", "it", "cannot", "can"}
"""After "and", a new statement begins with one of these."""


@dataclass
class Sentence:
    """A run of tokens of a text: `offset` is the place of its first token; `ends_with` its mark.

    `segments` are the clauses: (first token, token after the last, the mark or word before it).
    """

    offset: int
    tokens: list[Token]
    stems: list[str]
    ends_with: str
    segments: list[tuple[int, int, str]] = field(default_factory=list)

    def segment_of(self, token: int) -> int:
        """The number of the clause that holds `token`; a mark belongs to the clause after it."""
        for number, (_, end, _) in enumerate(self.segments):
            if token < end:
                return number
        return len(self.segments) - 1

    def bounds(self, token: int) -> tuple[int, int]:
        """First token and token after the last of the clause that holds `token`."""
        start, end, _ = self.segments[self.segment_of(token)]
        return start, end


def sentences(tokens: Sequence[Token], stems: Sequence[str]) -> list[Sentence]:
    """The sentences, cut at full stops, question marks and line breaks."""
    cut: list[Sentence] = []
    start = 0
    for i, token in enumerate(tokens):
        ends = _ends(tokens, i, start)
        broken = token.newline and i > start
        if broken:
            cut.append(Sentence(start, list(tokens[start:i]), list(stems[start:i]), ""))
            start = i
        if ends:
            if i > start:
                cut.append(Sentence(start, list(tokens[start:i]), list(stems[start:i]), token.norm))
            elif cut and token.norm == "?":
                cut[-1].ends_with = "?"
            start = i + 1
        elif i - start >= LONGEST:
            cut.append(Sentence(start, list(tokens[start : i + 1]), list(stems[start : i + 1]), ""))
            start = i + 1
    if start < len(tokens):
        cut.append(Sentence(start, list(tokens[start:]), list(stems[start:]), ""))
    return cut


def _ends(tokens: Sequence[Token], i: int, start: int) -> bool:
    token, following = tokens[i], tokens[i + 1] if i + 1 < len(tokens) else None
    if token.norm == "stop" and i > start and tokens[i - 1].norm == "full":
        return True
    if token.norm == "!":
        return True
    if token.norm == "?":
        opens = following is not None and following.kind == "word" and not following.spaced
        alone = i == start or tokens[i - 1].norm in ",:;("
        return not opens and not (alone and following is not None)
    if token.norm != ".":
        return False
    if following is None or following.newline:
        return True
    if following.norm == ".":
        return True
    if not following.spaced:
        return following.kind == "word" and i > start and len(tokens[i - 1].norm) > 3
    before = tokens[i - 1].norm if i > start else ""
    if before in _SIDE_FORMS:
        return following.norm not in _PLACES
    return before not in _SHORT_FORMS


def cut_into_segments(sentence: Sentence, breaks: Sequence[Hit[str]]) -> None:
    """Fills `sentence.segments`: clauses end at commas, colons, dashes, brackets and words like "but"."""
    starts: dict[int, tuple[int, str]] = {}
    tokens = sentence.tokens
    for i, token in enumerate(tokens):
        if token.norm == "and" and i + 1 < len(tokens) and tokens[i + 1].norm in _SUBJECTS:
            starts[i] = (i + 1, "and")
        if token.kind != "mark":
            continue
        following_spaced = i + 1 >= len(tokens) or tokens[i + 1].spaced
        dash = token.norm == "-" and token.spaced and following_spaced
        bracket = token.norm in "()" and not _around_a_side(tokens, i)
        if token.norm in ",;:" or dash or bracket:
            starts[i] = (i + 1, token.norm)
    for hit in breaks:
        starts[hit.start] = (hit.start, tokens[hit.start].norm)
    begin, mark = 0, ""
    for place in sorted(starts):
        after, sign = starts[place]
        if place > begin or not sentence.segments:
            sentence.segments.append((begin, place, mark))
        begin, mark = after, sign
    sentence.segments.append((begin, len(tokens), mark))


def _around_a_side(tokens: Sequence[Token], i: int) -> bool:
    inside = i + 1 if tokens[i].norm == "(" else i - 1
    outer = i + 2 if tokens[i].norm == "(" else i - 2
    return (
        0 <= inside < len(tokens)
        and 0 <= outer < len(tokens)
        and tokens[inside].norm in {"l", "r", "left", "right", "lt", "rt", "both", "b"}
        and tokens[outer].norm in "()"
    )
