"""The card on paper: its size, its letters, and every item on it."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from handsfree.book import Book
from handsfree.card.pdf import ITEM_POINTS, SMALL_POINTS, as_card
from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist
from handsfree.resources import find_checklist
from tests.checklist.written import item, of_items
from tests.support.commands import SMALL, Commands

POINTS_A_MM = 72 / 25.4


def read(checklist: Checklist, *, phrases: bool = True) -> PdfReader:
    return PdfReader(io.BytesIO(as_card(checklist, Book(checklist).phrasebook, "0123456789abcdef", phrases=phrases)))


def words(reader: PdfReader) -> str:
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in reader.pages))


@pytest.fixture(scope="module")
def twin() -> Checklist:
    return load(find_checklist("twin-turboprop"))


@pytest.fixture(scope="module")
def card(twin: Checklist) -> PdfReader:
    return read(twin, phrases=False)


def test_it_is_a_5(card: PdfReader) -> None:
    for page in card.pages:
        assert float(page.mediabox.width) == pytest.approx(148 * POINTS_A_MM, abs=0.5)
        assert float(page.mediabox.height) == pytest.approx(210 * POINTS_A_MM, abs=0.5)


def test_letters_are_large_and_black(card: PdfReader) -> None:
    sizes: dict[float, int] = {}

    def visit(text: str, _matrix: object, _position: object, _font: object, size: float) -> None:
        if text.strip():
            sizes[round(size, 1)] = sizes.get(round(size, 1), 0) + len(text)

    for page in card.pages:
        page.extract_text(visitor_text=visit)
    assert ITEM_POINTS >= 11
    assert {size for size in sizes if size < SMALL_POINTS} == {8.0}, "only the last lines of a page"
    raw = b"".join(content.get_data() for page in card.pages if (content := page.get_contents()))
    colours = set(re.findall(rb"([\d. ]+) (?:rg|RG)\b", raw))
    assert {tuple(set(one.split())) for one in colours} <= {(b"0",), (b"1",), (b"0.0",), (b"1.0",)}, colours
    greys = {float(one) for one in re.findall(rb"([\d.]+) [gG]\b", raw)}
    assert greys <= {0.0, 1.0}, "black and white, and nothing between"


def test_every_item_caution_and_condition_is_on_it(twin: Checklist, card: PdfReader) -> None:
    told = words(card)
    for one in twin.items():
        assert one.prompt in told or one.hold or one.undoes, one.id
    for caution in twin.cautions:
        assert caution in told
    for zone in twin.zones:
        assert zone.name in told
        assert (zone.caution or "") in told
    for condition in twin.conditions:
        assert condition.ask in told


def test_each_page_says_which_card_it_is_and_what_it_is_not(card: PdfReader) -> None:
    for number, page in enumerate(card.pages, start=1):
        told = re.sub(r"\s+", " ", page.extract_text())
        assert f"Page {number} of {len(card.pages)}. twin-turboprop 01234567. Memory aid" in told


def test_the_sheet_is_behind_it(twin: Checklist, card: PdfReader) -> None:
    both = read(twin)
    assert len(both.pages) > len(card.pages)
    assert "What can be said" in words(both)
    assert "say again / say that again" in words(both)


def test_hostile_text_is_text() -> None:
    nasty = "</script> %PDF (x) Tj \u202e\u0000 ]] BT"
    told = words(read(of_items(item(prompt=nasty, full=nasty), title="(T) Tj ET")))
    assert "</script> %PDF (x) Tj" in told
    assert "(T) Tj ET" in told


def test_the_command_writes_it(run: Commands, tmp_path: Path) -> None:
    ran = run("card", SMALL, "--out", tmp_path / "card.pdf", "--no-phrases")
    assert ran.code == 0
    assert ran.out.startswith(str(tmp_path / "card.pdf"))
    assert (tmp_path / "card.pdf").read_bytes().startswith(b"%PDF-")


def test_a_folder_that_is_not_there_is_one_clear_error(run: Commands, tmp_path: Path) -> None:
    run("card", SMALL, "--out", tmp_path / "no" / "card.pdf").failed("cannot be written")
