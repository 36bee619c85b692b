"""The app in a real browser: opened, filled in, planned, stopped, copied from, left."""

from __future__ import annotations

import io
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pyte
import pytest
from PIL import Image

from tests.serving.conftest import Serve, Served

PATIENCE = 60.0


class Tab:
    """A tab on the app. What the server sends to draw is read by a terminal of the test's own."""

    def __init__(self, browser: Any, address: str) -> None:
        self.context = browser.new_context(viewport={"width": 1280, "height": 800})
        self.page = self.context.new_page()
        self.asked: list[str] = []
        self.complaints: list[str] = []
        self.screen = pyte.Screen(80, 24)
        self.stream = pyte.ByteStream(self.screen)
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.on("websocket", self._session)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on(
            "console", lambda said: self.complaints.append(said.text) if said.type == "error" else None
        )
        self.page.goto(address)

    def _session(self, websocket: Any) -> None:
        self.asked.append(websocket.url)
        size = dict(part.split("=") for part in websocket.url.partition("?")[2].split("&"))
        self.screen.resize(int(size["height"]), int(size["width"]))
        websocket.on("framereceived", lambda frame: isinstance(frame, bytes) and self.stream.feed(frame))

    @property
    def text(self) -> str:
        return "\n".join(self.screen.display)

    def until(self, holds: Callable[[], object]) -> None:
        ends = time.monotonic() + PATIENCE
        while not holds():
            assert time.monotonic() < ends, f"it did not come about; the tab shows:\n{self.text}"
            self.page.wait_for_timeout(50)

    def sees(self, *words: str) -> None:
        self.until(lambda: all(word in self.text for word in words))

    def types(self, text: str, *then: str) -> None:
        self.page.keyboard.type(text)
        for key in then:
            self.page.keyboard.press(key)


Open = Callable[[Served], Tab]


@pytest.fixture
def opened(chromium: Any) -> Iterator[Open]:
    tabs: list[Tab] = []

    def open_tab(served: Served) -> Tab:
        tabs.append(Tab(chromium, served.address))
        return tabs[-1]

    yield open_tab
    for tab in tabs:
        tab.context.close()


def test_a_case_is_filled_in_and_stopped_without_a_word_to_the_outside(
    serve: Serve, opened: Open, tmp_path: Path
) -> None:
    served = serve()
    tab = opened(served)
    tab.sees("Cases", "n new case")
    tab.types("n")
    tab.types("web-1", "Enter")
    tab.sees("web-1", "No stop so far")
    tab.types("/open wound", "Enter", "y")
    tab.sees("STOP  left foot is not fitted today", "Wound to the foot service", "not saved")
    # Drawn, not only sent: the band of the stop is brick on the canvas.
    tab.until(lambda: brick_rows(tab) > 0)

    tab.page.keyboard.press("Control+s")
    tab.sees("Save the case in")
    tab.types("", "Enter")
    tab.until(lambda: (tmp_path / "web-1.yaml").exists())
    assert "open_wound: yes" in (tmp_path / "web-1.yaml").read_text()

    own = (served.address, served.address.replace("http:", "ws:"), "data:")
    assert [url for url in tab.asked if not url.startswith(own)] == []
    assert any("roboto-mono.ttf" in url for url in tab.asked)
    assert tab.page.evaluate("document.fonts.check('16px \"Roboto Mono\"')")
    assert tab.complaints == []


def brick_rows(tab: Tab) -> int:
    """How many rows of the picture are mostly of the colour kept for a stop."""
    picture = Image.open(io.BytesIO(tab.page.screenshot())).convert("RGB")
    width, height = picture.size
    brick = [
        sum(1 for x in range(0, width, 8) if _is_brick(picture.getpixel((x, y)))) > width / 8 / 2
        for y in range(height)
    ]
    return sum(brick)


def _is_brick(colour: Any) -> bool:
    red, green, blue = colour
    return red > 150 and green < 90 and blue < 90


def test_without_the_token_the_browser_gets_nothing(serve: Serve, chromium: Any) -> None:
    from playwright.sync_api import Error

    served = serve()
    with chromium.new_context() as context:
        page = context.new_page()
        with pytest.raises(Error, match="HTTP_RESPONSE_CODE_FAILURE"):
            page.goto(served.address.replace(served.token, served.token[::-1]))
    assert served.sessions == []


def test_a_case_named_lies_on_the_desk_and_each_tab_is_a_process_of_its_own(
    serve: Serve, opened: Open, tmp_path: Path
) -> None:
    (tmp_path / "mine.yaml").write_text("case: mine\nleft: {bunion: yes}\n")
    served = serve("mine.yaml")
    one = opened(served)
    one.sees("mine", "No stop so far")
    other = opened(served)
    other.sees("mine", "No stop so far")
    assert len(served.sessions) == 2
    one.types("/open wound", "Enter", "y")
    one.sees("STOP")
    assert "STOP" not in other.text
    # The page asks before a session is closed; the tab that is closed takes its process along.
    one.page.close()
    other.until(lambda: len(served.sessions) == 1)
    other.types("", "F1")
    other.sees("The case desk")


def test_a_page_is_copied_to_the_clipboard_of_the_browser(serve: Serve, opened: Open) -> None:
    served = serve()
    tab = opened(served)
    tab.context.grant_permissions(["clipboard-read", "clipboard-write"])
    tab.sees("n new case")
    tab.types("h")
    tab.sees("search: say what you see")
    tab.sees("How fast a black or cold foot is referred")
    tab.types("", "F7")
    tab.until(lambda: "Sources" in str(tab.page.evaluate("navigator.clipboard.readText()")))


def test_when_the_app_is_left_or_the_server_ends_the_page_says_so(serve: Serve, opened: Open) -> None:
    served = serve()
    tab, other = opened(served), opened(served)
    tab.sees("n new case")
    tab.types("", "Control+q")
    tab.page.get_by_text("This session has ended.").wait_for(timeout=PATIENCE * 1000)
    tab.page.get_by_role("button", name="Start another").click()
    other.sees("n new case")
    tab.until(lambda: len(served.sessions) == 2)
    sessions = served.sessions
    # Killed, it cannot end its sessions; they end when nobody is at the other end.
    served.process.kill()
    other.page.get_by_text("This session has ended.").wait_for(timeout=PATIENCE * 1000)
    tab.until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in sessions))
