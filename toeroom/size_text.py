"""A size report as plain lines: the size first, then each foot, then what to look at."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from toeroom.measures.entry import in_inches
from toeroom.measures.plausibility import NAMES
from toeroom.measures.sizes import size_in_words
from toeroom.measures.toe_room import BANDS, GUIDELINE
from toeroom.measures.widths import LetterReading
from toeroom.sizing import FootReport, MarkedSize, PairAdvice, ShoeInHand, SizeReport, WidthAdvice
from toeroom.stock_chart import FootInShoe, Pick

CLOSING = "The first shoe to try: room, width and depth in the shoe decide, on both feet, standing."


def size_lines(report: SizeReport, *, inches: bool = False) -> list[str]:
    """The report in plain text, without colour; `inches` adds inches to the lengths."""
    lines = [*_head(report, inches), *_sizes(report)]
    if report.pick:
        lines += ["", *_pick(report.pick)]
    if report.pair:
        lines += ["", *_pair(report.pair)]
    for foot in report.feet:
        lines += ["", *_foot(foot, inches, own_sizes=foot.side != report.decides)]
    lines += _list("Where sources disagree", report.disagreements)
    lines += _list("Look at", report.warnings)
    return [*lines, "", CLOSING]


def _head(report: SizeReport, inches: bool) -> list[str]:
    foot = report.foot(report.decides)
    assert foot is not None
    of_ball = " (asked for by the ball)" if foot.decided_by == "ball" else ""
    low, high = report.inner_length
    decides = f"The {report.decides} foot decides" if len(report.feet) > 1 else f"The {report.decides} foot"
    why = "leaves it 10 to 20 mm in front"
    if foot.decided_by == "ball" and low > foot.measures["foot_length_mm"] + GUIDELINE.least:
        why = "leaves 10 mm beyond what the ball asks for, and no more than 20 mm beyond the toes"
    return [
        f"{decides}: {mm(foot.fit_length, inches)}{of_ball}.",
        f"A shoe {mm(low)} to {mm(high)} long inside {why}.",
    ]


def _sizes(report: SizeReport) -> list[str]:
    widest = max(len(size.rule.label) for size in report.sizes)
    return ["", f"Size ({report.ties})", *(_size(size, widest) for size in report.sizes)]


def _size(size: MarkedSize, widest: int) -> str:
    span = f"{mm(size.foot_from)} to {mm(size.foot_to)}"
    mark = size_in_words(size.mark)
    exact = f"{float(size.exact):.2f}"
    over = size.rule.last_allowance
    last = "" if over is None else f"; last {mm(over)} over the foot"
    return f"  {size.rule.label:{widest}}  {mark:>6}  {exact:>7}  feet of {span}  {size.rule.said}{last}"


def _pick(pick: Pick) -> list[str]:
    if pick.found and pick.pair:
        head = f"From the chart: {pick.feet[0].shoe.name}"
    elif pick.found:
        head = "From the chart: " + ", ".join(f"{foot.shoe.name} {foot.side}" for foot in pick.feet)
    else:
        head = "Nothing in the chart fits; the nearest:"
    return [head, *(f"  {_in_shoe(foot)}" for foot in pick.feet), *(f"  ! {note}" for note in pick.notes)]


def _in_shoe(foot: FootInShoe) -> str:
    parts = [f"{mm(foot.room)} in front"]
    if foot.width_spare is not None:
        parts.append(_spare(foot.width_spare, "of width"))
    if foot.depth_spare is not None:
        parts.append(_spare(foot.depth_spare, "above the toes"))
    return f"{foot.side:5} in {foot.shoe.name}: {', '.join(parts)}"


def _spare(value: Fraction, of: str) -> str:
    if not value:
        return f"nothing to spare {of}"
    return f"{mm(abs(value))} {'to spare' if value > 0 else 'missing'} {of}"


def _pair(pair: PairAdvice) -> list[str]:
    return ["Pair", *(f"  {text}" for text in pair.say)]


def _foot(foot: FootReport, inches: bool, *, own_sizes: bool) -> list[str]:
    lines = [f"{foot.side.capitalize()} foot: {mm(foot.measures['foot_length_mm'], inches)}"]
    if foot.ball_length is not None:
        lines.append(f"  by the ball {mm(foot.ball_length, inches)}: the {foot.decided_by} decides")
    if own_sizes:
        lines.append(f"  by itself: {', '.join(size.words for size in foot.sizes)}")
    lines += [f"  {text}" for text in _beside_others(foot)]
    lines += [f"  {text}" for advice in foot.widths for text in _width(advice)]
    if foot.depth_needed is not None:
        lines.append(f"  depth needed at the toes, insert out: {mm(foot.depth_needed)}")
    return lines + [f"  {text}" for text in _in_hand(foot.in_hand)]


def _beside_others(foot: FootReport) -> Iterable[str]:
    """How the foot lies among others, where a last is named."""
    if foot.deviations:
        said = ", ".join(f"{NAMES[measure]} {_signed(value)}" for measure, value in foot.deviations.items())
        yield f"in standard deviations over the mean of soldiers: {said} (a net for slips, no norm)"
    widths = [usual for usual in foot.usual if usual.measure == "ball_width_mm"]
    if widths:
        said = ", ".join(f"{mm(usual.value)} in {usual.group}" for usual in widths)
        yield f"usual width at this length: {said}"


def _signed(value: Fraction) -> str:
    return f"{float(value):+.1f}".replace("-", "−")


def _width(advice: WidthAdvice) -> Iterable[str]:
    label = f"{advice.rule.label} {size_in_words(advice.size)}"
    if not advice.letter:
        yield f"width, {label}: beyond the letters; a depth or custom shoe"
        return
    yield f"width, {label}: {advice.letter}"
    for reading in (advice.by_width, advice.by_girth):
        if reading:
            yield f"  {_reading(reading)}"
    same = " or ".join(f"{size_in_words(size)} {letter}" for size, letter in advice.same_girth)
    yield f"  same girth: {same} (no way to get width: it bends elsewhere)"
    if advice.uk_fitting:
        yield f"  UK fitting {advice.uk_fitting} (quoted at second hand; sources differ)"


def _reading(reading: LetterReading) -> str:
    if not reading.letter:
        return f"beyond the letters by {reading.how}"
    spare = f"{mm(abs(reading.spare))} {'wider' if reading.spare >= 0 else 'narrower'} than the foot"
    other = f"; or {reading.next_letter} for a numb, swollen or misshapen foot" if reading.next_letter else ""
    return f"{reading.letter} by {reading.how}: {spare}{other}"


def _in_hand(shoe: ShoeInHand) -> Iterable[str]:
    if shoe.room is not None:
        said = "; ".join(
            f"{verdict} by {float(band.least):g} to {float(band.most):g} mm"
            for band, verdict in zip(BANDS, shoe.room.verdicts, strict=True)
        )
        yield f"shoe in hand: {mm(shoe.room.room)} in front: {said}"
    if shoe.width_spare is not None and shoe.width_spare < 0:
        limits = ", ".join(shoe.too_narrow_by)
        yield f"shoe in hand: {mm(-shoe.width_spare)} too narrow (a misfit by: {limits})"
    elif shoe.width_spare is not None:
        yield f"shoe in hand: {_spare(shoe.width_spare, 'of width')}"
    if shoe.depth_spare is not None:
        yield f"shoe in hand: {_spare(shoe.depth_spare, 'above the toes')}"


def _list(title: str, texts: Iterable[str]) -> list[str]:
    said = [f"  ! {text}" for text in texts]
    return ["", title, *said] if said else []


def mm(value: Fraction, inches: bool = False) -> str:
    """A length with at most one decimal: `262.5 mm`, with `inches` also `(10 5/16 in)`."""
    text = f"{float(round(value, 1)):g} mm"
    return f"{text} ({in_inches(value)})" if inches else text
