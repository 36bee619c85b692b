"""What is told of the past: it has healed, it was there once, or it is back."""

from __future__ import annotations

from collections.abc import Sequence

from toeroom.answers.clauses import Sentence
from toeroom.answers.cues import Cues
from toeroom.answers.mentions import NO, YES, Mention
from toeroom.answers.patterns import Hit


def put_in_the_past(
    sentence: Sentence, mentions: Sequence[Mention], hits: Sequence[Hit[str]], cues: Cues
) -> None:
    """Turns what was there once into what it has become, or into nothing: a healed ulcer is a past one."""
    lasting = cues.lists["lasting"]
    for mention in mentions:
        if mention.value not in {YES, NO} or mention.role != YES:
            continue
        becomes = cues.past_becomes.get(mention.id)
        if becomes and _healed(sentence, mention, mentions, hits):
            mention.id, mention.value = becomes, YES
            continue
        if mention.value == YES and mention.id not in lasting and _is_past(sentence, mention, hits, cues):
            mention.id = becomes or mention.id
            mention.value = YES if becomes else ""


def _healed(
    sentence: Sentence, mention: Mention, mentions: Sequence[Mention], hits: Sequence[Hit[str]]
) -> bool:
    if any(
        m.id in {"past_ulcer", "ulcer_healed_recently"}
        and m.role == YES
        and (m.start > mention.start or m.start <= mention.start < m.end)
        for m in mentions
    ):
        between = sentence.stems[mention.end :]
        if mention.value == YES and "not" not in between[:4]:
            return True
    for hit in hits:
        if hit.meaning == "gone_after" and hit.start >= mention.end and mention.value == NO:
            words = " ".join(t.norm for t in sentence.tokens[hit.start : hit.end])
            return mention.cue == words and "no" not in sentence.stems[mention.end : hit.start]
    return False


def _is_past(sentence: Sentence, mention: Mention, hits: Sequence[Hit[str]], cues: Cues) -> bool:
    start, end = sentence.bounds(mention.start)
    still = cues.sets["still"].find(sentence.tokens[mention.end : end], sentence.stems[mention.end : end])
    if still:
        return False
    for hit in hits:
        if hit.meaning == "history_before" and start <= hit.start and hit.end <= mention.start <= hit.end + 3:
            return True
        named = hit.meaning in {"history_before", "history_after"}
        if named and hit.start == 0 and hit.end <= mention.start:
            follow = sentence.tokens[hit.end].norm if hit.end < len(sentence.tokens) else ""
            if follow == ":":
                return True
        if hit.meaning == "history_after" and mention.end <= hit.start <= min(end, mention.end + 7):
            return True
    return False
