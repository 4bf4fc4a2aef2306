"""`handsfree debrief --open` in a real browser: a note is added through the server, and is there after a reload."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from handsfree.debrief.notes import read_notes
from handsfree.journal.keys import make_key, read_key
from tests.drill.practised import practise
from tests.drill.test_attempt import ROUND

START = [sys.executable, "-c", "from handsfree.cli import main; main()"]
HOSTILE = "<script>document.title = 'taken'</script> <b>bold</b>"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        yield made
        made.close()


@pytest.fixture
def walk(tmp_path: Path) -> Path:
    practise(tmp_path / "walk", "scenes", *ROUND)
    return tmp_path / "walk"


@pytest.fixture
def address(walk: Path, tmp_path: Path) -> Iterator[str]:
    make_key(tmp_path / "key.pem")
    command = [*START, "debrief", "--open", str(walk), "--sign", str(tmp_path / "key.pem")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as served:
        assert served.stdout
        line = served.stdout.readline()
        assert "http://127.0.0.1:" in line, line + served.stdout.read()
        yield line.split()[-1]
        served.send_signal(signal.SIGINT)
        assert served.wait(timeout=20) == 0, "Ctrl-C ends it well"


def page_at(browser: Browser, address: str) -> Page:
    page = browser.new_page()
    problems: list[str] = []
    page.on("pageerror", lambda error: problems.append(str(error)))
    page.goto(address)
    assert problems == []
    return page


def add_note(page: Page, row: str, text: str, judged: str = "") -> None:
    page.locator(row).first.get_by_role("button", name="Add a note").click()
    dialog = page.get_by_role("dialog")
    dialog.get_by_label("Your name").fill("RT")
    dialog.get_by_label("Note").fill(text)
    if judged:
        dialog.get_by_label("Judge anew").select_option(judged)
    dialog.get_by_role("button", name="Keep the note").click()
    expect(dialog).to_be_hidden()


def test_a_note_is_added_and_is_there_after_a_reload(browser: Browser, address: str, walk: Path) -> None:
    before = (walk / "log.jsonl").read_bytes()
    page = page_at(browser, address)
    add_note(page, "#rows .row.heard", "Said too fast.")
    expect(page.get_by_text("Said too fast.")).to_be_visible()
    page.reload()
    expect(page.get_by_text("Said too fast.")).to_be_visible()
    assert [(one.kind, one.author) for one in read_notes(walk).notes] == [("note", "RT")]
    assert (walk / "log.jsonl").read_bytes() == before, "the original is never touched"


def test_a_scene_is_judged_anew(browser: Browser, address: str, walk: Path) -> None:
    page = page_at(browser, address)
    add_note(page, "#rows .row[data-judged]", "", judged="miss")
    expect(page.get_by_text("Judged anew: miss.")).to_be_visible()
    (mark,) = read_notes(walk).notes
    assert mark.kind == "mark"
    assert (mark.item, mark.mark) == ("cover-left", "miss")


def test_what_was_heard_is_overruled(browser: Browser, address: str, walk: Path, tmp_path: Path) -> None:
    page = page_at(browser, address)
    page.locator("#rows .row.heard.pass").first.get_by_role("button", name="Add a note").click()
    dialog = page.get_by_role("dialog")
    dialog.get_by_label("Your name").fill("RT")
    dialog.get_by_label("Should have been").select_option("finding")
    dialog.get_by_label("What was said").fill("cover still on")
    dialog.get_by_role("button", name="Keep the note").click()
    expect(dialog).to_be_hidden()
    page.reload()
    expect(page.get_by_text("Should have been: finding, cover still on.")).to_be_visible()
    told = read_notes(walk)
    (note,) = told.notes
    assert (note.kind, note.author) == ("overruled", "RT")
    assert told.signers == (read_key(tmp_path / "key.pem").public,)


def test_hostile_words_in_a_note_are_text(browser: Browser, address: str) -> None:
    page = page_at(browser, address)
    title = page.title()
    add_note(page, "#rows .row.heard", HOSTILE)
    page.reload()
    expect(page.get_by_text(HOSTILE)).to_be_visible()
    assert page.title() == title


def test_the_address_is_good_for_one_browser_only(browser: Browser, address: str) -> None:
    page_at(browser, address)
    stranger = browser.new_context().new_page()
    answer = stranger.goto(address)
    assert answer is not None
    assert answer.status == 403
    assert "opened before" in json.loads(answer.text())["message"]
