"""The page of a debrief on this machine only, and its notes: for one browser, until it is closed.

It listens at 127.0.0.1 alone, on a port that the system chooses.  The address that it gives out holds a token which is
taken once, for a cookie; each page then carries a token of its own, without which nothing is written.  So a page from
elsewhere in the same browser, and another person on the same machine, read nothing and write nothing.  What is left:
browsers show the cookies of one port to every port, so visit no other server of this machine meanwhile that you do not
trust; and who may run programs as you may read your files anyway.
"""

from __future__ import annotations

import hmac
import json
import secrets
from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from socketserver import TCPServer
from threading import BoundedSemaphore, Lock
from typing import Any, Final, cast
from urllib.parse import parse_qs

from handsfree.debrief.note_writing import NotesWriter
from handsfree.debrief.notes import Note, NotesError, note_of
from handsfree.shown import json_line

HOST: Final = "127.0.0.1"
MOST_OF_A_NOTE = 20_000
"""Bytes of a request's body: the longest text, each letter of it four bytes, and the rest."""
MOST_AT_ONCE = 16
"""Connections; a browser opens six."""
_PAGES = 32
"""How many pages that were given out may still write: those in other tabs, and before a reload."""
_PATIENCE_S = 10.0
"""For a request that is begun."""
_TOKEN_BYTES = 32
_HEADER = "X-Notes-Token"

Render = Callable[[Sequence[Note], str], str]
"""The page with these notes, and the token that it carries."""

_HEADERS = {
    # The page holds all that it shows; it may talk to nobody but this server, and nobody may put it into a frame.
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; "
    "img-src data:; media-src data:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "Connection": "close",
}


class DebriefServer(ThreadingHTTPServer):
    """Serves the page of one log.  Use it as a context manager around ``serve_forever``."""

    daemon_threads = True
    block_on_close = False

    def __init__(self, render: Render, notes: NotesWriter) -> None:
        """Listen; nothing is answered before ``serve_forever``.  Raises OSError."""
        super().__init__((HOST, 0), _Handler)
        self._render = render
        self._notes = notes
        self._once: str | None = secrets.token_urlsafe(_TOKEN_BYTES)
        self._session = secrets.token_urlsafe(_TOKEN_BYTES)
        self._pages: deque[str] = deque(maxlen=_PAGES)
        self._turn = Lock()
        self._free = BoundedSemaphore(MOST_AT_ONCE)
        self.authority = f"{HOST}:{self.server_address[1]}"
        """The only host that a request may name: a page whose own name was made to lead here names that."""
        self.cookie = f"debrief-{self.server_address[1]}"
        """Its name: cookies of all ports of a machine lie together."""
        self.address = f"http://{self.authority}/?token={self._once}"
        """What the browser opens, once."""

    def server_bind(self) -> None:
        """As any TCP server does: that of HTTP would ask the network for the name of this machine."""
        TCPServer.server_bind(self)
        self.server_name, self.server_port = HOST, self.server_address[1]

    # ---- what it lets in

    def exchanged(self, token: str) -> str | None:
        """The session for the token of the address, which is taken once only."""
        with self._turn:
            if self._once is None or not _same(token, self._once):
                return None
            self._once = None
            return self._session

    def knows(self, session: str) -> bool:
        """Whether this is the browser that was let in."""
        return _same(session, self._session)

    def gave_out(self, token: str) -> bool:
        """Whether a page was given out with this token."""
        with self._turn:
            return any(_same(token, one) for one in self._pages)

    # ---- what it does

    def page(self) -> str:
        """The page as it is now, with a token of its own."""
        token = secrets.token_urlsafe(_TOKEN_BYTES)
        with self._turn:
            self._pages.append(token)
            return self._render(self._notes.notes, token)

    def add(self, note: Note) -> Note:
        """Write a note.  Raises NotesError."""
        with self._turn:
            return self._notes.add(note)

    # ---- how many at once

    def process_request(self, request: Any, client_address: Any) -> None:
        """In a thread of its own, or not at all when there are too many."""
        if not self._free.acquire(blocking=False):
            self.shutdown_request(request)
            return
        super().process_request(request, client_address)

    def process_request_thread(self, request: Any, client_address: Any) -> None:
        """Until it is answered."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self._free.release()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that goes away is nothing to tell."""


class _Refused(Exception):  # noqa: N818  # an answer
    """What was asked for is not given."""

    def __init__(self, status: HTTPStatus, why: str) -> None:
        super().__init__(why)
        self.status = status
        self.why = why


class _Handler(BaseHTTPRequestHandler):
    """One request."""

    timeout = _PATIENCE_S
    server_version = "handsfree"
    sys_version = ""

    def do_GET(self) -> None:
        """Give the page, to whom has the cookie, or the token of the address for it."""
        self._answered(self._get)

    def do_POST(self) -> None:
        """Write a note."""
        self._answered(self._post)

    def _get(self) -> None:
        self._refuse_other_hosts()
        path, _, query = self.path.partition("?")
        if path != "/":
            raise _Refused(HTTPStatus.NOT_FOUND, "there is only the page and its notes")
        server = self._debrief
        token = parse_qs(query).get("token", [""])[0]
        session = server.exchanged(token) if token else None
        if session is not None:
            # Away from the address with the token, which a browser keeps in its history.
            self.send_response(HTTPStatus.SEE_OTHER)
            self.send_header("Location", "/")
            self.send_header("Set-Cookie", f"{server.cookie}={session}; Path=/; HttpOnly; SameSite=Strict")
            self._finish(b"")
            return
        self._refuse_strangers()
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self._finish(server.page().encode("utf-8", "replace"))

    def _post(self) -> None:
        self._refuse_other_hosts()
        if self.path != "/notes":
            raise _Refused(HTTPStatus.NOT_FOUND, "there is only the page and its notes")
        body = self._body()
        origin, site = self.headers.get("Origin"), self.headers.get("Sec-Fetch-Site")
        if origin not in (None, f"http://{self._debrief.authority}") or site not in (None, "same-origin"):
            raise _Refused(HTTPStatus.FORBIDDEN, "another page may not write here")
        self._refuse_strangers()
        if not self._debrief.gave_out(self.headers.get(_HEADER, "")):
            raise _Refused(HTTPStatus.FORBIDDEN, "this page may not write any more: load it again")
        if self.headers.get_content_type() != "application/json":
            raise _Refused(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "a note is sent as application/json")
        try:
            kept = self._debrief.add(note_of(_object(body)))
        except NotesError as error:
            raise _Refused(HTTPStatus.UNPROCESSABLE_ENTITY, error.message) from error
        self._send_json(HTTPStatus.CREATED, kept.model_dump(mode="json"))

    def _body(self) -> bytes:
        """Of a bounded size, which is told before it."""
        length = self.headers.get("Content-Length", "")
        if "Transfer-Encoding" in self.headers or not (length.isascii() and length.isdigit()):
            raise _Refused(HTTPStatus.LENGTH_REQUIRED, "the length of a note is told before it")
        if len(length) > len(str(MOST_OF_A_NOTE)) or int(length) > MOST_OF_A_NOTE:
            raise _Refused(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "the note is too long")
        return self.rfile.read(int(length))

    def _refuse_other_hosts(self) -> None:
        if self.headers.get_all("Host") != [self._debrief.authority]:
            raise _Refused(HTTPStatus.MISDIRECTED_REQUEST, "this is no server of that name")

    def _refuse_strangers(self) -> None:
        wanted = f"{self._debrief.cookie}="
        cookies = [one.strip() for one in self.headers.get("Cookie", "").split(";")]
        if not any(self._debrief.knows(one.removeprefix(wanted)) for one in cookies if one.startswith(wanted)):
            why = "this address was opened before, or never given out: start the debrief again for a new one"
            raise _Refused(HTTPStatus.FORBIDDEN, why)

    def _answered(self, answer: Callable[[], None]) -> None:
        try:
            answer()
        except _Refused as refused:
            self._send_json(refused.status, {"message": refused.why})

    def _send_json(self, status: HTTPStatus, row: dict[str, Any]) -> None:
        self.send_response(status)
        self.send_header("Content-Type", "application/json; charset=utf-8")
        self._finish(json_line(row).encode())

    def _finish(self, body: bytes) -> None:
        for name, value in _HEADERS.items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """What is no request of ours, as JSON too: other methods, lines that are too long."""
        del message, explain
        status = HTTPStatus.METHOD_NOT_ALLOWED if code == HTTPStatus.NOT_IMPLEMENTED else HTTPStatus(code)
        self._send_json(status, {"message": status.phrase.lower()})

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002  # as it is called
        """Nothing: an address holds the token."""

    @property
    def _debrief(self) -> DebriefServer:
        return cast("DebriefServer", self.server)


def _object(body: bytes) -> dict[str, Any]:
    """The JSON object that a body is."""
    try:
        given = json.loads(body)
    except (ValueError, RecursionError) as error:
        raise _Refused(HTTPStatus.BAD_REQUEST, "it is no JSON") from error
    if not isinstance(given, dict):
        raise _Refused(HTTPStatus.BAD_REQUEST, "a note is a JSON object")
    return cast("dict[str, Any]", given)


def serve(render: Render, notes: NotesWriter, announce: Callable[[str], None]) -> None:
    """Serve until interrupted by hand; ``announce`` is told the address, which is good once.  Raises OSError."""
    with DebriefServer(render, notes) as server:
        announce(server.address)
        with suppress(KeyboardInterrupt):
            server.serve_forever()


def _same(one: str, other: str) -> bool:
    return hmac.compare_digest(one.encode(), other.encode())
