"""The plan beside the form: drawn anew with every answer, its items to be chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from rich.text import Span, Text
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from toeroom.sheet import Asked, Entry, Sheet
from toeroom.wording import printable
from tui.widgets.plan_rows import Block, plan_blocks


class PlanPane(ScrollView, can_focus=True):
    """Shows a sheet, or in its place why there is none."""

    LOOKS: ClassVar[tuple[str, ...]] = ("title", "head", "quiet", "caution", "say", "held", "stop", "fault")
    COMPONENT_CLASSES: ClassVar[set[str]] = {*(f"plan--{look}" for look in LOOKS), "plan--chosen"}
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w,f3,enter", "why", "why", key_display="w"),
        Binding("up", "choose(-1)", show=False),
        Binding("down", "choose(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
        Binding("home", "choose_end(False)", show=False),
        Binding("end", "choose_end(True)", show=False),
    ]

    class WhyWanted(Message):
        """Why does `entry` stand in the plan?"""

        def __init__(self, entry: Entry) -> None:
            super().__init__()
            self.entry = entry

    class Answering(Message):
        """The question with this number is to be answered."""

        def __init__(self, number: int) -> None:
            super().__init__()
            self.number = number

    def __init__(self, *, look_id: str) -> None:
        super().__init__(id=look_id)
        self.sheet: Sheet | None = None
        self.asked: Sequence[Asked] = ()
        self.full, self.anew = False, False
        self.fault = ""
        self.blocks: list[Block] = []
        self.chosen, self.moved = "", False
        self.ground = Style()
        self.wrapped: list[tuple[int, int, Text]] = []

    # --- what it shows ---------------------------------------------------------------------------
    def show_sheet(self, sheet: Sheet, *, asked: Sequence[Asked] | None) -> None:
        """Shows a sheet. `asked` is None while the questions are being worked out: the old ones stay, dim."""
        self.sheet, self.fault = sheet, ""
        self.anew = asked is None
        self.asked = self.asked if asked is None else asked
        self._lay_out()

    def show_fault(self, text: str) -> None:
        """Says why there is no plan; an old plan is not left standing."""
        self.sheet, self.fault, self.asked = None, text, ()
        self._lay_out()

    def unfold(self) -> None:
        """Opens what is folded, or folds it again."""
        self.full = not self.full
        self._lay_out()

    def _lay_out(self) -> None:
        if self.sheet is not None:
            self.blocks = list(plan_blocks(self.sheet, self.asked, full=self.full, asked_anew=self.anew))
            self.blocks[0] = _without_space_above(self.blocks[0])
        elif self.fault:
            told = (1, Text(f"NO PLAN  {self.fault}", "fault"))
            kept = (1, Text("What you have stated is kept. Go on, or save it and try again."))
            self.blocks = [Block((told, (0, Text("")), kept))]
        else:
            self.blocks = [Block(((1, Text("working out the plan", "quiet")),))]
        # Until someone has moved, the first is chosen, also where questions come in above it.
        if self.chosen not in self._keys or not self.moved:
            self.chosen, self.moved = (self._keys[0] if self._keys else ""), False
        self._wrap()

    @property
    def _keys(self) -> list[str]:
        return [block.key for block in self.blocks if block.key]

    @property
    def block(self) -> Block | None:
        """The chosen block."""
        return next((block for block in self.blocks if block.key and block.key == self.chosen), None)

    def _wrap(self) -> None:
        """Breaks the blocks into lines of the present width: (block, indent, line)."""
        width = self.scrollable_content_region.width
        if width <= 0:
            return
        console = self.app.console
        looks = {look: self.get_component_rich_style(f"plan--{look}") for look in self.LOOKS}
        self.ground = self.rich_style
        self.wrapped = []
        for number, block in enumerate(self.blocks):
            for indent, text in block.lines:
                for line in _looked(text, looks).wrap(console, max(10, width - indent - 1)):
                    line.rstrip()
                    self.wrapped.append((number, indent, line))
        self.virtual_size = Size(width, len(self.wrapped))
        self.refresh()

    def on_resize(self) -> None:
        self._lay_out()

    def notify_style_update(self) -> None:
        super().notify_style_update()
        if self.is_mounted:
            self._wrap()

    # --- keys and mouse --------------------------------------------------------------------------
    def action_choose(self, step: int) -> None:
        keys = self._keys
        if not keys:
            self.scroll_relative(y=step, animate=False)
            return
        index = keys.index(self.chosen) + step
        if 0 <= index < len(keys):
            self.chosen, self.moved = keys[index], True
            self._into_sight()
        else:
            # Beyond the first and last item there is still something to read.
            self.scroll_relative(y=step, animate=False)
        self.refresh()

    def action_choose_end(self, last: bool) -> None:
        if self._keys:
            self.chosen, self.moved = self._keys[-1 if last else 0], last
        if last:
            self.scroll_end(animate=False)
        else:
            self.scroll_home(animate=False)
        self.refresh()

    def action_page(self, step: int) -> None:
        height = max(1, self.scrollable_content_region.height - 1)
        top = self.scroll_offset.y + step * height
        top = max(0, min(top, len(self.wrapped) - height - 1))
        self.scroll_to(y=top, animate=False)
        in_sight = {number for number, _, _ in self.wrapped[top : top + height]}
        keys = [block.key for i, block in enumerate(self.blocks) if block.key and i in in_sight]
        if keys and self.chosen not in keys:
            self.chosen, self.moved = keys[0 if step > 0 else -1], True
        self.refresh()

    def action_why(self) -> None:
        block = self.block
        if block is None:
            return
        if block.entry is not None:
            self.post_message(self.WhyWanted(block.entry))
        elif block.question is not None and not self.anew:
            self.post_message(self.Answering(block.question))

    def on_click(self, event: events.Click) -> None:
        at = event.get_content_offset(self)
        if at is None or at.y + self.scroll_offset.y >= len(self.wrapped):
            return
        block = self.blocks[self.wrapped[at.y + self.scroll_offset.y][0]]
        if not block.key:
            return
        again = block.key == self.chosen
        self.chosen, self.moved = block.key, True
        self.refresh()
        if again:
            self.action_why()

    def on_focus(self) -> None:
        self._into_sight()

    def _into_sight(self) -> None:
        own = [i for i, (number, _, _) in enumerate(self.wrapped) if self.blocks[number].key == self.chosen]
        if not own or not self.chosen:
            return
        height, top = max(1, self.scrollable_content_region.height), self.scroll_offset.y
        first, last = own[0], own[-1]
        # What stands above the first item (a stop, a title) comes into sight with it.
        if self.chosen == self._keys[0]:
            first = 0
        if first < top:
            self.scroll_to(y=first, animate=False)
        elif last >= top + height:
            self.scroll_to(y=min(own[0], last - height + 1), animate=False)

    # --- drawing -----------------------------------------------------------------------------------
    def render_line(self, y: int) -> Strip:
        width = self.scrollable_content_region.width
        index = y + self.scroll_offset.y
        if index >= len(self.wrapped):
            return Strip.blank(width, self.ground)
        number, indent, line = self.wrapped[index]
        block = self.blocks[number]
        if block.band:
            base = self.get_component_rich_style(f"plan--{block.band}")
        elif block.key and block.key == self.chosen and self.has_focus:
            base = self.ground + self.get_component_rich_style("plan--chosen")
        else:
            base = self.ground
        here = bool(block.key) and block.key == self.chosen and self.has_focus
        lead = ("▌" if here else " ") + " " * (indent - 1) if indent else ""
        segments = [Segment(lead, base), *line.render(self.app.console)]
        styled = [Segment(s.text, _over(base, s.style)) for s in segments if s.text]
        return Strip(styled).adjust_cell_length(width, base)


def _without_space_above(block: Block) -> Block:
    return replace(block, lines=block.lines[1:]) if not block.lines[0][1].plain else block


def _over(base: Style, style: Style | str | None) -> Style:
    """`style` on the ground of `base`."""
    return base + style.without_color + Style(color=style.color) if isinstance(style, Style) else base


def _looked(text: Text, looks: dict[str, Style]) -> Text:
    """`text` without control characters, the names of its styles turned into looks."""
    plain = printable(text.plain)
    whole = Span(0, len(plain), looks.get(str(text.style), Style()))
    spans = [Span(s.start, s.end, looks.get(str(s.style), Style())) for s in text.spans]
    return Text(plain, spans=[whole, *spans])
