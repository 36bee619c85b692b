"""Who has no token, comes under another name or from another page gets no answer."""

from __future__ import annotations

import http.client
import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.run import toeroom
from tests.conftest import ROOT
from tests.serving.conftest import Serve, Served

SOCKET = {
    "Connection": "Upgrade",
    "Upgrade": "websocket",
    "Sec-WebSocket-Version": "13",
    "Sec-WebSocket-Key": "AAAAAAAAAAAAAAAAAAAAAA==",
}


def ask(served: Served, path: str, headers: dict[str, str] | None = None) -> tuple[int, bytes]:
    """The status and the body of the answer."""
    connection = http.client.HTTPConnection("127.0.0.1", served.port, timeout=20)
    try:
        connection.request("GET", path, headers=headers or {})
        answer = connection.getresponse()
        return answer.status, b"" if answer.status == 101 else answer.read()
    finally:
        connection.close()


def test_nothing_is_answered_without_the_token(serve: Serve) -> None:
    served = serve()
    assert len(served.token) >= 43
    own = {"Origin": f"http://127.0.0.1:{served.port}"}
    wrong = ("", "x", served.token[:-1], served.token + "x", "%F0%9F%91%A3", "..", "static")
    for token in wrong:
        for file in ("", "textual.js", "page.css", "ws", "static/js/textual.js", "download/x"):
            assert ask(served, f"/{token}/{file}") == (404, b"")
        assert ask(served, f"/{token}/ws", {**SOCKET, **own}) == (404, b"")
    assert ask(served, "/") == (404, b"")
    assert served.sessions == []


def test_with_the_token_only_what_the_page_needs_is_given(serve: Serve) -> None:
    served = serve()
    status, page = ask(served, f"/{served.token}/")
    assert status == 200
    assert b"textual-terminal" in page
    for path in ("..%2Fserver.py", "../server.py", "server.py", "../../etc/passwd", "static/js/textual.js"):
        assert ask(served, f"/{served.token}/{path}")[0] == 404


@pytest.mark.parametrize(
    "name", ["evil.example", "evil.example:{port}", "127.0.0.1:1", "127.0.0.1", "[::1]:{port}"]
)
def test_a_name_pointed_at_this_computer_is_refused(serve: Serve, name: str) -> None:
    served = serve()
    host = {"Host": name.format(port=served.port)}
    assert ask(served, f"/{served.token}/", host) == (404, b"")
    origin = {"Origin": f"http://{host['Host']}"}
    assert ask(served, f"/{served.token}/ws", {**SOCKET, **host, **origin}) == (404, b"")
    assert ask(served, f"/{served.token}/", {"Host": f"localhost:{served.port}"})[0] == 200


def test_a_session_opens_only_from_the_servers_own_page(serve: Serve) -> None:
    served = serve()
    ws = f"/{served.token}/ws"
    for origin in (
        "http://evil.example",
        "null",
        f"https://127.0.0.1:{served.port}",
        f"http://localhost:{served.port}",
    ):
        assert ask(served, ws, {**SOCKET, "Origin": origin}) == (404, b"")
        assert ask(served, f"/{served.token}/", {"Origin": origin}) == (404, b"")
    assert ask(served, ws, SOCKET) == (404, b"")
    assert served.sessions == []
    assert ask(served, ws, {**SOCKET, "Origin": f"http://127.0.0.1:{served.port}"})[0] == 101


def test_nothing_listens_beyond_this_computer(serve: Serve) -> None:
    served = serve()
    lines = [line.split() for line in Path("/proc/net/tcp").read_text().splitlines()[1:]]
    listening = {tuple(line[1].split(":")) for line in lines if line[3] == "0A"}
    assert {address for address, port in listening if int(port, 16) == served.port} == {"0100007F"}


def test_the_token_is_another_each_time_and_is_no_argument_of_a_process(serve: Serve) -> None:
    one, other = serve(), serve()
    assert one.token != other.token
    for served in (one, other):
        assert served.token not in Path(f"/proc/{served.process.pid}/cmdline").read_text()


def test_it_says_who_can_reach_it_and_ends_by_ctrl_c(tmp_path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "toeroom", "serve"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    told = ""
    while "ctrl+c" not in told:
        told += process.stdout.readline()
    process.send_signal(signal.SIGINT)
    assert process.wait(timeout=30) == 0
    assert "http://127.0.0.1:" in told
    assert "nothing is open to the network" in told
    assert process.stdout.read() == ""


def test_what_will_not_do_is_said_in_a_line() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = toeroom("serve", "--port", str(port))
        assert (done.returncode, done.stderr.count("\n")) == (2, 1)
        assert f"port {port} cannot be used" in done.stderr
    assert "port 70000 cannot be used" in toeroom("serve", "--port", "70000").stderr
    done = toeroom("serve", "no-such-case.yaml")
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert "no-such-case.yaml" in done.stderr
