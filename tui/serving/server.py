"""The server: on this computer alone, and only for who has the address with its token."""

from __future__ import annotations

import hmac
import secrets
import socket
import weakref
from collections.abc import Awaitable, Callable, Sequence
from pathlib import Path

import textual_serve
from aiohttp import WSCloseCode, web
from textual_serve.server import Server, to_int

from toeroom.errors import BadInput
from tui.serving.session import Session

LOOPBACK = "127.0.0.1"
_OURS = Path(__file__).parent / "page"
_THEIRS = Path(textual_serve.__file__).parent / "static"
FILES = {
    "": _OURS / "page.html",
    "page.css": _OURS / "page.css",
    "page.js": _OURS / "page.js",
    "textual.js": _THEIRS / "js/textual.js",
    "xterm.css": _THEIRS / "css/xterm.css",
    "roboto-mono.ttf": _THEIRS / "fonts/RobotoMono-VariableFont_wght.ttf",
    "roboto-mono-italic.ttf": _THEIRS / "fonts/RobotoMono-Italic-VariableFont_wght.ttf",
}
"""Everything that can be had, by its name beneath the token."""

NOTHING_FROM_ELSEWHERE = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; font-src 'self';"
    " img-src 'self' data:; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
)

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


def listen(port: int) -> socket.socket:
    """A socket on this computer's own address; `port` 0 takes a free one. Raises `BadInput`."""
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((LOOPBACK, port))
        # From here on who asks is kept waiting, not turned away, until the server answers.
        listener.listen()
    except (OSError, OverflowError) as error:
        listener.close()
        reason = getattr(error, "strerror", None) or "not a port"
        raise BadInput(f"port {port} cannot be used ({reason})", mend="name another with --port") from None
    return listener


class LoopbackServer(Server):
    """Serves the app. `arguments` are those of a session (`tui.serving.session`).

    Whoever asks without the token, under another host's name or from another site's page gets an
    empty "not found", whatever is asked for.
    """

    def __init__(self, arguments: Sequence[str], listener: socket.socket) -> None:
        self.listener = listener
        super().__init__("toeroom", host=LOOPBACK, port=listener.getsockname()[1])
        self.arguments = arguments
        self.token = secrets.token_urlsafe(32)
        self.hosts = {f"{name}:{self.port}" for name in (LOOPBACK, "localhost")}
        self.websockets: weakref.WeakSet[web.WebSocketResponse] = weakref.WeakSet()

    @property
    def address(self) -> str:
        """The whole address, token and all."""
        return f"{self.public_url}/{self.token}/"

    def serve(self, debug: bool = False) -> None:
        """Serves until it is interrupted."""
        web.run_app(
            self._make_app(), sock=self.listener, access_log=None, print=lambda *_: None, shutdown_timeout=10
        )

    async def _make_app(self) -> web.Application:
        # Routes are looked up before the guard is asked, so they hold a place for a token, not the token.
        app = web.Application(middlewares=[self._guard, web.normalize_path_middleware()])
        app.router.add_get("/{token}/ws", self.handle_websocket)
        app.router.add_get("/{token}/{name:[a-z.-]*}", self._file)
        app.on_response_prepare.append(self._add_headers)
        app.on_shutdown.append(self.on_shutdown)
        return app

    # --- who is let in -----------------------------------------------------------------------------
    @web.middleware
    async def _guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        return await handler(request) if self._admits(request) else web.Response(status=404)

    def _admits(self, request: web.Request) -> bool:
        """Whether the token is right, and the request comes from this server's own page or from no page."""
        token = request.path.lstrip("/").partition("/")[0]
        if not hmac.compare_digest(token.encode("utf-8", "replace"), self.token.encode()):
            return False
        host, origin = request.headers.getall("Host", []), request.headers.getall("Origin", [])
        # A name that another site has pointed at this computer is not one of ours.
        if len(host) != 1 or host[0].lower() not in self.hosts:
            return False
        upgrade = "upgrade" in request.headers.get("Connection", "").lower()
        return origin == [f"http://{host[0]}"] or (not origin and not upgrade)

    async def _add_headers(self, request: web.Request, response: web.StreamResponse) -> None:
        sockets = " ".join(f"ws://{host}" for host in sorted(self.hosts))
        response.headers.update(
            {
                "Content-Security-Policy": f"{NOTHING_FROM_ELSEWHERE}; connect-src 'self' {sockets}",
                "Referrer-Policy": "no-referrer",
                "X-Content-Type-Options": "nosniff",
                "Cross-Origin-Resource-Policy": "same-origin",
                "Cache-Control": "no-store",
                "Server": "toeroom",
            }
        )

    # --- what is given -----------------------------------------------------------------------------
    async def _file(self, request: web.Request) -> web.StreamResponse:
        path = FILES.get(request.match_info["name"])
        return web.FileResponse(path) if path else web.Response(status=404)

    async def handle_websocket(self, request: web.Request) -> web.WebSocketResponse:
        """A session, from the browser's opening it to its end on either side."""
        websocket = web.WebSocketResponse(heartbeat=15)
        await websocket.prepare(request)
        self.websockets.add(websocket)
        session = Session(self.arguments, websocket, self.download_manager)
        width, height = (to_int(request.query.get(name, ""), 80) for name in ("width", "height"))
        try:
            await session.start(width, height)
            await self._process_messages(websocket, session)
        finally:
            await session.stop()
        return websocket

    async def on_shutdown(self, app: web.Application) -> None:
        """Ends every session."""
        for websocket in list(self.websockets):
            await websocket.close(code=WSCloseCode.GOING_AWAY)
