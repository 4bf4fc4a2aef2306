"""The page in a real browser, opened as a file: it needs no network, plays its sounds, and everybody can use it."""

from __future__ import annotations

import base64
import json
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from itertools import pairwise
from pathlib import Path
from typing import Any, ClassVar, Literal, cast

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, ConsoleMessage, Page, Request, expect, sync_playwright

from handsfree.debrief.gathering import Debrief, Sounds, gather, sounds_of
from handsfree.debrief.page import page
from handsfree.debrief.remarks import Note, ScoreLine
from handsfree.debrief.timeline import Scene, Utterance, rows_of
from handsfree.journal import events as log
from handsfree.journal.clips import clip_of
from handsfree.soundfiles import compressed
from tests.debrief import made
from tests.debrief.test_comparison import SHORT

CHROMIUM = Path("/usr/bin/chromium")
WIDE, NARROW = (1280, 900), (390, 800)
MOST_BYTES, MOST_SECONDS = 15_000_000, 2.0
"""Of the page of a walk of three quarters of an hour with 400 clips: to be mailed, and until it is there."""

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as library:
        opened = library.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


@dataclass
class Opened:
    """A page, and all that it said or asked for."""

    page: Page
    said: list[str] = field(default_factory=list[str])
    asked: list[str] = field(default_factory=list[str])

    def hear(self, message: ConsoleMessage) -> None:
        self.said.append(message.text)

    def fail(self, error: Exception) -> None:
        self.said.append(str(error))

    def ask(self, request: Request) -> None:
        if not request.url.startswith("data:"):
            self.asked.append(request.url)

    def shown(self) -> list[str]:
        """The rows that are not filtered out, by their ids."""
        return self.page.eval_on_selector_all("#rows .row:not([hidden])", "rows => rows.map(row => row.id)")

    def focused(self) -> str:
        return self.page.evaluate("document.activeElement.id")


def opened(
    browser: Browser, address: str, *, scheme: Literal["light", "dark"] = "light", size: tuple[int, int] = WIDE
) -> Opened:
    context = browser.new_context(
        color_scheme=scheme, reduced_motion="reduce", viewport={"width": size[0], "height": size[1]}
    )
    context.set_default_timeout(10_000)
    one = Opened(context.new_page())
    one.page.on("console", one.hear)
    one.page.on("pageerror", one.fail)
    one.page.on("request", one.ask)
    one.page.goto(address)
    return one


@dataclass(frozen=True)
class Files:
    """Pages on disk."""

    story: Path
    practice: Path
    walk: Debrief
    attempt: Debrief


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> Files:
    folder = tmp_path_factory.mktemp("pages")
    walk = made.story(folder)
    attempt, other = made.attempt(folder / "attempt"), made.attempt(folder / "other", *SHORT)
    missed = next(row for _, row in rows_of(attempt.timeline) if "miss" in row.marks)
    notes = [Note(missed.at.event, "RT", "2026-01-05T12:00:00.000Z", "Said before looking.")]
    score = [ScoreLine("Full points", 100, None), ScoreLine("Missed at pitot covers", -15, missed.at.event)]
    practice = page(attempt, sounds_of(attempt), others=[other, walk], notes=notes, score=score)
    (folder / "story.html").write_text(page(walk, sounds_of(walk)), encoding="utf-8")
    (folder / "practice.html").write_text(practice, encoding="utf-8")
    return Files(folder / "story.html", folder / "practice.html", walk, attempt)


@pytest.fixture
def story(browser: Browser, files: Files) -> Iterator[Opened]:
    one = opened(browser, files.story.as_uri())
    yield one
    assert one.said == []
    assert one.asked == [files.story.as_uri()]
    one.page.context.close()


@pytest.fixture
def practice(browser: Browser, files: Files) -> Iterator[Opened]:
    one = opened(browser, files.practice.as_uri())
    yield one
    assert one.said == []
    assert one.asked == [files.practice.as_uri()]
    one.page.context.close()


def test_a_sound_plays_where_it_stands(story: Opened) -> None:
    button = story.page.get_by_role("button", name="Play “covers off”")
    button.click()
    story.page.wait_for_function("() => document.querySelector('#sound').duration > 0.05")
    story.page.wait_for_function("() => document.querySelector('#sound').currentTime > 0.02")
    expect(story.page.get_by_role("region", name="Player")).to_contain_text("“covers off”")
    story.page.get_by_role("button", name="Close", exact=True).click()
    expect(story.page.locator("#player")).to_be_hidden()


def test_another_sound_takes_the_place_of_the_first(story: Opened) -> None:
    story.page.get_by_role("button", name="Play “covers off”").click()
    story.page.get_by_role("button", name="Play “pressure on”").click()
    story.page.wait_for_function("() => document.querySelector('#sound').currentTime > 0.02")
    expect(story.page.locator("#playing")).to_have_text("“pressure on”")


def test_a_filter_shows_only_what_it_names(practice: Opened, files: Files) -> None:
    everything = practice.shown()
    rows = {f"e{row.at.event}": row for stay in files.attempt.timeline.stays for row in stay.rows}
    for name, mark in (
        ("Findings", "finding"),
        ("Helps", "help"),
        ("Misses", "miss"),
        ("Interruptions", "interruption"),
    ):
        button = practice.page.get_by_role("button", name=name, exact=True)
        button.click()
        expect(button).to_have_attribute("aria-pressed", "true")
        shown = practice.shown()
        assert shown == [one for one in everything if mark in rows[one].marks]
        assert shown
        expect(practice.page.locator("#shown")).to_have_text(f"{len(shown)} of {len(everything)} rows shown")
        button.click()
    assert practice.shown() == everything


def test_two_filters_show_what_either_names_and_everything_undoes_them(practice: Opened) -> None:
    everything = practice.shown()
    practice.page.get_by_role("button", name="Misses").click()
    misses = practice.shown()
    practice.page.get_by_role("button", name="Notes").click()
    practice.page.get_by_role("button", name="Helps").click()
    assert set(practice.shown()) > set(misses)
    assert practice.page.locator(".stay:visible").count() < practice.page.locator(".stay").count()
    practice.page.get_by_role("button", name="Everything").click()
    assert practice.shown() == everything


def test_keys_go_from_row_to_row_and_from_zone_to_zone(story: Opened) -> None:
    rows = story.shown()
    story.page.locator(f"#{rows[0]}").focus()
    story.page.keyboard.press("ArrowDown")
    assert story.focused() == rows[1]
    story.page.keyboard.press("ArrowUp")
    assert story.focused() == rows[0]
    story.page.keyboard.press("End")
    assert story.focused() == rows[-1]
    story.page.keyboard.press("Home")
    story.page.keyboard.press("PageDown")
    assert story.page.evaluate("document.activeElement.closest('.stay').querySelector('h3').textContent").startswith(
        "1Nose"
    )
    story.page.keyboard.press("PageUp")
    assert story.focused() == rows[0]


def test_with_a_filter_keys_and_buttons_go_to_what_is_shown(story: Opened) -> None:
    story.page.get_by_role("button", name="Findings").click()
    found = story.shown()
    assert len(found) > 2
    story.page.get_by_role("button", name="Next").click()
    assert story.focused() == found[0]
    story.page.keyboard.press("ArrowDown")
    assert story.focused() == found[1]
    story.page.get_by_role("button", name="Next").click()
    assert story.focused() == found[2]
    story.page.get_by_role("button", name="Previous").click()
    assert story.focused() == found[1]


def test_the_space_bar_plays_the_row_that_is_reached(story: Opened) -> None:
    row = story.page.locator(".row", has=story.page.get_by_role("button", name="Play “covers off”"))
    row.focus()
    story.page.keyboard.press("Space")
    story.page.wait_for_function("() => document.querySelector('#sound').currentTime > 0.02")


def test_keys_mean_nothing_outside_the_timeline(story: Opened) -> None:
    story.page.locator("h1").click()
    story.page.keyboard.press("Space")
    story.page.keyboard.press("ArrowDown")
    expect(story.page.locator("#player")).to_be_hidden()
    assert story.focused() == ""


def test_everything_is_reached_by_tab_and_the_timeline_is_left_by_it(story: Opened) -> None:
    story.page.keyboard.press("Tab")
    assert story.page.evaluate("document.activeElement.className") == "skip"
    reached: list[str] = []
    for _ in range(80):
        story.page.keyboard.press("Tab")
        reached.append(story.page.evaluate("document.activeElement.closest('section, nav')?.id ?? ''"))
        if reached[-1] == "entries":
            break
    assert [one for one in dict.fromkeys(reached) if one in {"findings", "transcript", "entries"}] == [
        "findings", "transcript", "entries",
    ]  # fmt: skip


def test_a_link_goes_to_an_event_also_when_a_filter_hides_it(practice: Opened) -> None:
    practice.page.get_by_role("button", name="Helps").click()
    practice.page.locator("#findings a").first.click()
    assert practice.page.evaluate("document.activeElement.querySelector('.words').textContent") == "“cut on tyre two”"
    expect(practice.page.get_by_role("button", name="Everything")).to_have_attribute("aria-pressed", "true")


def test_an_address_with_an_event_opens_there(browser: Browser, files: Files) -> None:
    found = next(row for row in (one for _, one in rows_of(files.walk.timeline)) if "finding" in row.marks)
    one = opened(browser, f"{files.story.as_uri()}#e{found.at.event}")
    assert one.focused() == f"e{found.at.event}"
    one.page.context.close()


def test_hostile_words_are_words(browser: Browser, files: Files, tmp_path: Path) -> None:
    def hostile(event: log.AnyEvent) -> log.AnyEvent:
        texts = {name for name in ("said", "text", "words", "description", "who", "why") if hasattr(event, name)}
        return event.model_copy(update=dict.fromkeys(texts, made.HOSTILE))

    walk = made.changed(files.walk, tmp_path / "walk", hostile)
    file = tmp_path / "hostile.html"
    file.write_text(page(walk, sounds_of(walk), notes=[Note(2, made.HOSTILE, "", made.HOSTILE)]), encoding="utf-8")
    one = opened(browser, file.as_uri())
    alarms: list[str] = []
    one.page.on("dialog", lambda dialog: alarms.append(dialog.message))
    expect(one.page.locator(".words").first).to_contain_text("</script><img src=x onerror=alert(1)>")
    one.page.locator(".play").first.click()
    expect(one.page.locator("#playing")).to_contain_text("<img src=x")
    assert one.page.locator("main img").count() == 0
    assert (alarms, one.said, one.asked) == ([], [], [file.as_uri()])
    one.page.context.close()


def test_what_gets_into_the_page_all_the_same_cannot_act(browser: Browser, files: Files) -> None:
    """The policy stands behind the escaping."""
    one = opened(browser, files.story.as_uri())
    one.page.evaluate("document.body.insertAdjacentHTML('beforeend', '<img id=i src=x onerror=\"window.bad = 1\">')")
    one.page.evaluate("const s = document.createElement('script'); s.text = 'window.bad = 1'; document.body.append(s)")
    assert one.page.evaluate("fetch('https://example.invalid').then(() => 'through', () => 'refused')") == "refused"
    assert one.page.evaluate("window.bad") is None
    assert one.page.evaluate("document.querySelector('#i').naturalWidth") == 0
    assert len([said for said in one.said if "Content Security Policy" in said]) >= 3
    one.page.context.close()


# ---- everybody


def grave_violations(shown: Page) -> list[tuple[str, str]]:
    """What axe-core calls serious or critical: the rule, and the first element that breaks it."""
    found: list[dict[str, Any]] = cast("Any", Axe()).run(shown).response["violations"]
    grave = [rule for rule in found if rule["impact"] in {"serious", "critical"}]
    return [(rule["id"], rule["nodes"][0]["html"][:200]) for rule in grave]


@pytest.mark.parametrize(("scheme", "size"), [("light", WIDE), ("dark", NARROW)], ids=["light-wide", "dark-narrow"])
def test_nothing_grave_stands_in_anybodys_way(
    browser: Browser, files: Files, scheme: Literal["light", "dark"], size: tuple[int, int]
) -> None:
    """The player and the transcript are open too."""
    one = opened(browser, files.practice.as_uri(), scheme=scheme, size=size)
    one.page.locator(".play").first.click()
    one.page.locator("#transcript summary").click()
    assert grave_violations(one.page) == []
    assert one.page.evaluate("document.documentElement.scrollWidth <= innerWidth"), "it is no wider than the screen"
    one.page.context.close()


def test_headings_and_landmarks_tell_where_one_is(practice: Opened) -> None:
    headings = practice.page.eval_on_selector_all("h1, h2, h3, h4", "all => all.map(one => Number(one.tagName[1]))")
    assert headings[0] == 1
    assert headings.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(headings))
    for role in ("banner", "navigation", "main", "contentinfo"):
        assert practice.page.get_by_role(role).count() == 1, role
    expect(practice.page.get_by_role("img", name="The way of AB round the aircraft")).to_be_visible()
    expect(practice.page.get_by_role("table", name="Findings that stand")).to_be_visible()


def test_pictures_of_it(browser: Browser, files: Files, tmp_path: Path) -> None:
    """To be looked at: the folder is printed where the test fails or runs with -s."""
    schemes: tuple[Literal["light", "dark"], ...] = ("light", "dark", "light")
    for scheme, name, size in zip(schemes, ("wide", "wide", "narrow"), (WIDE, WIDE, NARROW), strict=True):
        one = opened(browser, files.practice.as_uri(), scheme=scheme, size=size)
        one.page.screenshot(path=tmp_path / f"{scheme}-{name}.png", full_page=True)
        one.page.context.close()
    one = opened(browser, files.practice.as_uri())
    paper = one.page.pdf(path=tmp_path / "paper.pdf", format="A4")
    one.page.context.close()
    print(tmp_path)
    assert paper.startswith(b"%PDF")
    assert all(file.stat().st_size > 10_000 for file in tmp_path.iterdir())


def test_on_paper_there_are_no_controls_and_no_dark_ink_on_dark_ground(browser: Browser, files: Files) -> None:
    one = opened(browser, files.practice.as_uri(), scheme="dark")
    one.page.emulate_media(media="print", color_scheme="dark")
    for selector in ("nav", ".play", "#previous", ".keys"):
        expect(one.page.locator(selector).first).to_be_hidden()
    expect(one.page.locator("#shown")).to_be_visible()
    assert one.page.evaluate("getComputedStyle(document.body).color") == "rgb(29, 34, 39)"
    one.page.context.close()


def test_without_scripts_all_can_be_read(browser: Browser, files: Files) -> None:
    context = browser.new_context(java_script_enabled=False)
    read = context.new_page()
    read.goto(files.story.as_uri())
    expect(read.get_by_text("Without scripts all can be read; sounds and filters need them.")).to_be_visible()
    expect(read.get_by_text("“no leak, cut on tyre two”").last).to_be_visible()
    expect(read.get_by_role("button", name="Findings")).to_be_hidden()
    context.close()


# ---- size


def sounds_with_each_made_small_once(walk: Debrief) -> Sounds:
    """As `sounds_of`; of equal sounds, of which a real walk has none, one is made small for all."""
    known: dict[str, str] = {}
    mp3: dict[int, str] = {}
    for _, row in rows_of(walk.timeline):
        if isinstance(row, Utterance) and row.clip is not None:
            if row.clip.sha256 not in known:
                known[row.clip.sha256] = base64.b64encode(compressed(clip_of(walk.folder, row.clip)[1])).decode()
            mp3[row.at.event] = known[row.clip.sha256]
    return Sounds(dict.fromkeys(mp3, "kept"), mp3)


def test_a_long_walk_can_be_mailed_and_is_there_at_once(browser: Browser, tmp_path: Path) -> None:
    walk = gather(made.beginner(tmp_path))
    assert walk.timeline.seconds > 45 * 60
    sounds = sounds_with_each_made_small_once(walk)
    assert len(sounds.mp3) >= 400
    file = tmp_path / "long.html"
    file.write_text(page(walk, sounds), encoding="utf-8")
    assert file.stat().st_size < MOST_BYTES
    took: list[float] = []
    for _ in range(3):
        began = time.monotonic()
        one = opened(browser, file.as_uri())
        one.page.locator("#shown", has_text="rows shown").wait_for()
        took.append(time.monotonic() - began)
        assert one.said == []
        one.page.context.close()
    print(f"{file.stat().st_size / 1e6:.1f} MB, {len(sounds.mp3)} clips, there after {min(took):.2f} s")
    assert min(took) < MOST_SECONDS


# ---- notes, where a server takes them


class Server(BaseHTTPRequestHandler):
    """Serves one page, and keeps notes as the contract in `notes.js` says."""

    text: ClassVar[bytes] = b""
    kept: ClassVar[list[dict[str, Any]]] = []

    def do_GET(self) -> None:
        self.answer(200, "text/html; charset=utf-8", self.text)

    def do_POST(self) -> None:
        note = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        if self.path != "/notes" or self.headers["X-Notes-Token"] != "t0ken":
            self.answer(403, "application/json", b'{"message": "not from this page"}')
        elif note.get("text") == "too long":
            self.answer(400, "application/json", b'{"message": "the note is too long"}')
        else:
            self.kept.append(note)
            kept = json.dumps(note | {"time": "2026-01-05T12:00:00.000Z"})
            self.answer(201, "application/json", kept.encode())

    def answer(self, status: int, kind: str, body: bytes) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002  # its name
        pass


@pytest.fixture
def served(files: Files) -> Iterator[str]:
    Server.text = page(files.attempt, sounds_of(files.attempt), notes_token="t0ken").encode()
    Server.kept.clear()
    server = ThreadingHTTPServer(("127.0.0.1", 0), Server)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()
    server.server_close()


def test_a_note_is_sent_with_the_token_and_shown_at_its_event(browser: Browser, files: Files, served: str) -> None:
    one = opened(browser, served)
    missed = next(row for _, row in rows_of(files.attempt.timeline) if "miss" in row.marks)
    row = one.page.locator(f"#e{missed.at.event}")
    row.hover()
    row.get_by_role("button", name="Add a note").click()
    form = one.page.get_by_role("dialog", name=f"Note on event {missed.at.event}")
    form.get_by_label("Your name").fill("RT")
    form.get_by_label("Note", exact=True).fill("too long")
    form.get_by_role("button", name="Keep the note").click()
    expect(form.get_by_role("alert")).to_have_text("The note was not kept: the note is too long")
    form.get_by_label("Note", exact=True).fill(made.HOSTILE)
    form.get_by_label("Judge anew").select_option("hit")
    assert grave_violations(one.page) == []
    form.get_by_role("button", name="Keep the note").click()
    expect(form).to_be_hidden()
    notes = row.locator(".note")
    expect(notes.first).to_contain_text("Note by RT, 2026-01-05 12:00 UTC: </script><img src=x")
    expect(notes.nth(1)).to_contain_text("Judged anew: hit.")
    about = {"about": missed.at.event, "author": "RT"}
    assert isinstance(missed, Scene)
    assert Server.kept == [
        {"kind": "note", "text": made.HOSTILE} | about,
        {"kind": "mark", "item": missed.scene, "mark": "hit"} | about,
    ]
    assert one.page.locator("main img").count() == 0
    one.page.context.close()


def test_only_scenes_are_judged_anew(browser: Browser, served: str) -> None:
    one = opened(browser, served)
    row = one.page.locator(".row.prompt").first
    row.hover()
    row.get_by_role("button", name="Add a note").click()
    expect(one.page.get_by_label("Judge anew")).to_be_hidden()
    expect(one.page.get_by_label("Should have been")).to_be_hidden()
    one.page.get_by_label("Your name").fill("RT")
    one.page.get_by_role("button", name="Keep the note").click()
    expect(one.page.get_by_role("alert")).to_have_text("Write a note, or say what should have been.")
    one.page.get_by_role("button", name="Cancel").click()
    assert Server.kept == []
    one.page.context.close()
