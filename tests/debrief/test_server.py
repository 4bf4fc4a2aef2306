"""The page of a debrief: for one browser on this machine, and nothing but itself and its notes."""

from __future__ import annotations

import http.client
import json
import re
import socket
import threading
import time
from collections.abc import Generator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from handsfree.debrief.note_writing import NotesWriter
from handsfree.debrief.notes import Note, read_notes, verify_notes
from handsfree.debrief.server import MOST_AT_ONCE, MOST_OF_A_NOTE, DebriefServer, serve
from tests.journal.recorded import copied, sealed_walk

NOTE = {"kind": "note", "about": 24, "author": "AB", "text": "Look from behind, too."}


def page(notes: Sequence[Note], token: str) -> str:
    """The least that a page has."""
    kinds = "".join(f"<li>{one.kind}" for one in notes)
    return f'<!doctype html><meta name="notes-token" content="{token}"><ul>{kinds}</ul>'


@dataclass(frozen=True)
class Answer:
    status: int
    headers: dict[str, str]
    body: str

    @property
    def row(self) -> Any:
        return json.loads(self.body)


@dataclass
class Browser:
    """Asks as a browser does."""

    server: DebriefServer
    cookie: str = ""

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str | None) -> Answer:
        """A header that is None is left out; underlines in names are hyphens."""
        connection = http.client.HTTPConnection("127.0.0.1", self.server.server_address[1], timeout=10)
        given: dict[str, str | None] = {"Host": self.server.authority, "Cookie": self.cookie or None}
        given |= {name.replace("_", "-"): value for name, value in headers.items()}
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in given.items():
            if value is not None:
                connection.putheader(name, value)
        if body is not None and "Content_Length" not in headers:
            connection.putheader("Content-Length", str(len(body)))
        connection.endheaders(body)
        came = connection.getresponse()
        answer = Answer(came.status, dict(came.getheaders()), came.read().decode())
        connection.close()
        return answer

    def opens(self) -> Answer:
        """The address that was given out, and where it leads."""
        first = self.ask("GET", self.server.address.removeprefix(f"http://{self.server.authority}"))
        assert first.status == 303, first
        self.cookie = first.headers["Set-Cookie"].split(";")[0]
        return self.ask("GET", first.headers["Location"])

    def token(self) -> str:
        found = re.search(r'name="notes-token" content="([^"]+)"', self.ask("GET", "/").body)
        assert found
        return found[1]

    def posts(self, given: Any = NOTE, **headers: str | None) -> Answer:
        usual: dict[str, str | None] = {
            "Content_Type": "application/json",
            "Origin": f"http://{self.server.authority}",
            "Sec_Fetch_Site": "same-origin",
        }
        if "X_Notes_Token" not in headers:
            usual["X_Notes_Token"] = self.token()
        body = given if isinstance(given, bytes) else json.dumps(given).encode()
        return self.ask("POST", "/notes", body, **usual | headers)


def connected(server: DebriefServer) -> socket.socket:
    return socket.create_connection(("127.0.0.1", server.server_address[1]), timeout=10)


@contextmanager
def serving(walk: Path) -> Generator[DebriefServer]:
    with NotesWriter(walk) as notes, DebriefServer(page, notes) as server:
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
        thread.start()
        try:
            yield server
        finally:
            server.shutdown()
            thread.join()


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return sealed_walk(tmp_path_factory.mktemp("recorded") / "walk")


@pytest.fixture
def walk(recorded: Path, tmp_path: Path) -> Path:
    return copied(recorded, tmp_path / "walk")


@pytest.fixture
def server(walk: Path) -> Generator[DebriefServer]:
    with serving(walk) as server:
        yield server


@pytest.fixture
def browser(server: DebriefServer) -> Browser:
    browser = Browser(server)
    browser.opens()
    return browser


# ---- as it is meant


def test_the_address_leads_to_the_page_and_away_from_the_token(server: DebriefServer) -> None:
    browser = Browser(server)
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/\?token=[\w-]{43}", server.address)
    came = browser.opens()
    assert (came.status, came.headers["Content-Type"]) == (200, "text/html; charset=utf-8")
    assert '<meta name="notes-token"' in came.body


def test_a_note_that_is_posted_is_on_the_disk_and_on_the_next_page(walk: Path, browser: Browser) -> None:
    answer = browser.posts()
    assert answer.status == 201
    assert {name: answer.row[name] for name in NOTE} == NOTE
    assert [one.model_dump(mode="json") for one in read_notes(walk).notes] == [answer.row]
    assert "<li>note" in browser.ask("GET", "/").body
    assert verify_notes(walk).state == "intact"


def test_notes_posted_at_the_same_time_are_all_kept_in_one_chain(walk: Path, browser: Browser) -> None:
    token = browser.token()
    answers: list[Answer] = []

    def post(number: int) -> None:
        answers.append(browser.posts(NOTE | {"text": f"Note {number}."}, X_Notes_Token=token))

    threads = [threading.Thread(target=post, args=(number,)) for number in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert [one.status for one in answers] == [201] * 8
    assert (verify_notes(walk).state, verify_notes(walk).notes) == ("intact", 8)


def test_a_page_may_be_loaded_again_and_the_one_before_may_still_write(browser: Browser) -> None:
    first, second = browser.token(), browser.token()
    assert first != second
    assert browser.posts(X_Notes_Token=first).status == 201
    assert browser.posts(X_Notes_Token=second).status == 201


# ---- who is let in


def test_it_listens_on_this_machine_only(server: DebriefServer) -> None:
    assert server.socket.getsockname()[0] == "127.0.0.1"


def test_it_asks_the_network_for_no_name(walk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def asked(*_: object) -> str:
        raise AssertionError("a name was asked for")

    for function in ("getfqdn", "gethostbyaddr", "getaddrinfo", "gethostbyname"):
        monkeypatch.setattr(socket, function, asked)
    with NotesWriter(walk) as notes, DebriefServer(page, notes):
        pass


def test_it_serves_until_it_is_interrupted_by_hand(walk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(server: DebriefServer) -> None:
        assert announced == [server.address]
        raise KeyboardInterrupt

    announced: list[str] = []
    monkeypatch.setattr(DebriefServer, "serve_forever", interrupted)
    with NotesWriter(walk) as notes:
        serve(page, notes, announced.append)
    port = int(announced[0].split(":")[2].split("/")[0])
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.1", port), timeout=10)


def test_the_token_is_taken_once(server: DebriefServer) -> None:
    Browser(server).opens()
    stranger = Browser(server)
    again = stranger.ask("GET", server.address.removeprefix(f"http://{server.authority}"))
    assert (again.status, "Set-Cookie" in again.headers) == (403, False)
    assert "start the debrief again" in again.row["message"]


def test_the_cookie_is_out_of_reach(server: DebriefServer) -> None:
    first = Browser(server).ask("GET", server.address.removeprefix(f"http://{server.authority}"))
    assert first.headers["Set-Cookie"].split("; ")[1:] == ["Path=/", "HttpOnly", "SameSite=Strict"]
    assert first.headers["Set-Cookie"].startswith(f"debrief-{server.server_address[1]}=")
    assert first.body == ""


@pytest.mark.parametrize("path", ["/", "/?token=", "/?token=wrong", "/?token=%ff", "/?token=a&token=b"])
def test_a_stranger_sees_nothing(server: DebriefServer, path: str) -> None:
    came = Browser(server).ask("GET", path)
    assert (came.status, "notes-token" in came.body) == (403, False)


def test_a_wrong_token_does_not_use_up_the_right_one(server: DebriefServer) -> None:
    assert Browser(server).ask("GET", "/?token=wrong").status == 403
    assert Browser(server).opens().status == 200


@pytest.mark.parametrize("host", ["localhost", "evil.example", "evil.example:80", "127.0.0.1", "[::1]", "", None])
def test_a_name_that_was_made_to_lead_here_is_refused(browser: Browser, host: str | None) -> None:
    for answer in (browser.ask("GET", "/", Host=host), browser.posts(Host=host)):
        assert (answer.status, "notes-token" in answer.body) == (421, False)


@pytest.mark.parametrize(
    "changed",
    [
        {"X_Notes_Token": None},
        {"X_Notes_Token": "wrong"},
        {"X_Notes_Token": "\xe9"},
        {"Cookie": None},
        {"Cookie": "debrief=x"},
        {"Origin": "http://evil.example"},
        {"Origin": "http://127.0.0.1:1"},
        {"Origin": "null"},
        {"Sec_Fetch_Site": "cross-site"},
        {"Sec_Fetch_Site": "same-site"},
    ],
)
def test_another_page_in_the_same_browser_cannot_write(
    walk: Path, browser: Browser, changed: dict[str, str | None]
) -> None:
    assert browser.posts(**changed).status == 403
    assert read_notes(walk).notes == ()


def test_a_form_of_another_page_cannot_write(walk: Path, browser: Browser) -> None:
    """A form may send such types without asking first."""
    for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data"):
        assert browser.posts(Content_Type=kind).status == 415
    assert read_notes(walk).notes == ()


def test_pages_that_were_given_out_long_ago_may_not_write(browser: Browser) -> None:
    first = browser.token()
    for _ in range(32):
        browser.token()
    assert browser.posts(X_Notes_Token=first).status == 403


# ---- nothing else


@pytest.mark.parametrize("path", ["/log.jsonl", "/notes", "/notes.jsonl", "/../etc/passwd", "/favicon.ico", "*"])
def test_only_the_page_is_given(browser: Browser, path: str) -> None:
    with connected(browser.server) as connection:
        head = f"GET {path} HTTP/1.1\r\nHost: {browser.server.authority}\r\nCookie: {browser.cookie}\r\n\r\n"
        connection.sendall(head.encode())
        came = b"".join(iter(lambda: connection.recv(4096), b""))
    assert came.split()[1] in (b"400", b"404"), came
    assert b"notes-token" not in came


@pytest.mark.parametrize("method", ["HEAD", "OPTIONS", "PUT", "DELETE", "TRACE", "CONNECT", "PATCH", "BREW"])
def test_only_two_methods(browser: Browser, method: str) -> None:
    answer = browser.ask(method, "/notes", b"")
    assert answer.status == 405
    assert "Access-Control-Allow-Origin" not in answer.headers


def test_posts_go_to_the_notes_only(browser: Browser) -> None:
    assert browser.ask("POST", "/", b"{}").status == 404


def test_every_answer_keeps_others_out(browser: Browser) -> None:
    answers = [browser.ask("GET", "/"), browser.posts(), browser.ask("GET", "/none"), browser.ask("PUT", "/")]
    for answer in answers:
        assert answer.headers["Cache-Control"] == "no-store"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Referrer-Policy"] == "no-referrer"
        assert "frame-ancestors 'none'" in answer.headers["Content-Security-Policy"]
        assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
        assert "Python" not in answer.headers["Server"]


@pytest.mark.parametrize(
    ("given", "status"),
    [
        (b"", 400),
        (b"{", 400),
        (b"[]", 400),
        (b"\xff", 400),
        (b"[" * 15_000, 400),
        (NOTE | {"about": 10_000}, 422),
        (NOTE | {"kind": "log"}, 422),
        (NOTE | {"seq": 1}, 422),
        (NOTE | {"text": "\x1b[2J"}, 422),
        (NOTE | {"author": ""}, 422),
        (b" " * (MOST_OF_A_NOTE + 1), 413),
    ],
)
def test_what_is_no_note_is_refused(walk: Path, browser: Browser, given: Any, status: int) -> None:
    answer = browser.posts(given)
    assert answer.status == status
    assert answer.row["message"]
    assert read_notes(walk).notes == ()


@pytest.mark.parametrize(
    ("length", "status"),
    [(None, 411), ("-1", 411), ("1e3", 411), ("0x10", 411), ("9" * 100, 413), ("\xb2", 411)],
)
def test_a_length_that_is_none_is_refused(browser: Browser, length: str | None, status: int) -> None:
    assert browser.posts(b"", Content_Length=length).status == status


def test_a_body_in_pieces_of_unknown_length_is_refused(browser: Browser) -> None:
    assert browser.posts(b"", Transfer_Encoding="chunked").status == 411


def test_the_longest_note_fits(browser: Browser) -> None:
    given = json.dumps(NOTE | {"text": "\N{CJK UNIFIED IDEOGRAPH-4E00}" * 4000}, ensure_ascii=False).encode()
    assert browser.posts(given).status == 201


def test_a_line_without_end_is_refused(server: DebriefServer) -> None:
    with connected(server) as connection:
        connection.sendall(b"GET /" + b"a" * 70_000)
        assert b" 414 " in connection.recv(4096)


# ---- trouble


def test_a_disk_that_refuses_is_told_and_nothing_is_acknowledged(
    walk: Path, browser: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    token = browser.token()
    with monkeypatch.context() as patch:
        patch.setattr("handsfree.debrief.note_writing.write_all", full)
        answer = browser.posts(X_Notes_Token=token)
    assert (answer.status, "No space left" in answer.row["message"]) == (422, True)
    assert read_notes(walk).notes == ()
    assert browser.posts().status == 201


def test_many_that_say_nothing_do_not_stop_it(server: DebriefServer) -> None:
    """More than are served at once are turned away, and when they give up there is room again."""
    silent = [connected(server) for _ in range(MOST_AT_ONCE + 4)]
    for one in silent:
        one.close()
    limit = time.monotonic() + 10
    while time.monotonic() < limit:
        try:
            assert Browser(server).opens().status == 200
            break
        except (OSError, http.client.HTTPException):
            time.sleep(0.05)
    else:
        raise AssertionError("nobody was let in any more")


def test_a_browser_that_goes_away_is_no_error(server: DebriefServer, capfd: pytest.CaptureFixture[str]) -> None:
    with connected(server) as connection:
        connection.sendall(b"POST /notes HTTP/1.1\r\nContent-Length: 100\r\n\r\n{")
    assert Browser(server).opens().status == 200
    out, err = capfd.readouterr()
    assert (out, err) == ("", "")
