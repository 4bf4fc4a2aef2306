"""The report as a page that needs nothing else."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from handsfree.bench.chatter import Chatter
from handsfree.bench.figures import figures
from handsfree.bench.page import page
from handsfree.bench.report import Report
from handsfree.markup import Markup, table, tag
from tests.bench.made import report, trial

HOSTILE = '<script>alert("x")</script> & \'"'


class Reader(HTMLParser):
    """Collects the elements, their text and their addresses; an element that is closed wrongly is an error."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.names: set[str] = set()
        self.addresses: list[str] = []
        self.ids: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.add(tag)
        self.addresses += [value or "" for name, value in attrs if name in {"src", "href", "xlink:href"}]
        self.ids += [value or "" for name, value in attrs if name == "id"]
        if tag != "meta":
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


@pytest.fixture(scope="module")
def measured() -> Report:
    return report(
        *(trial(seed=number, condition="clean") for number in range(3)),
        trial(seed=4, condition="rain 10 dB", words=HOSTILE, said=HOSTILE, voice=HOSTILE, outcome="pass",
            verdict="wrong", false_pass=True),
        trial(seed=5, by="another", condition="clean", verdict="wrong"),
    )  # fmt: skip


@pytest.fixture(scope="module")
def read(measured: Report) -> Reader:
    reader = Reader()
    reader.feed(page(measured))
    assert reader.open == []
    return reader


def test_it_asks_for_nothing_from_outside(measured: Report, read: Reader) -> None:
    assert all(address.startswith("#") for address in read.addresses)
    text = page(measured)
    assert "@import" not in text
    assert set(re.findall(r"url\((.)", text)) <= {"#"}
    assert not read.names & {"script", "link", "img", "iframe"}


def test_what_was_said_stays_text(read: Reader) -> None:
    assert HOSTILE in read.text


def test_every_id_is_there_once(read: Reader) -> None:
    assert len(read.ids) == len(set(read.ids))


def test_what_is_not_reached_is_said_in_words(read: Reader) -> None:
    assert "targets are not reached" in read.text
    assert "✗ not reached" in read.text
    assert "✓ reached" in read.text


def test_it_tells_where_and_how_it_was_measured(measured: Report, read: Reader) -> None:
    for told in (str(measured.machine), measured.command, "seed", measured.version, measured.machine.vosk):
        assert told in read.text


def test_others_are_compared(read: Reader) -> None:
    assert "another" in read.text


def test_night_and_paper_have_colours_of_their_own(measured: Report) -> None:
    text = page(measured)
    assert "prefers-color-scheme: dark" in text
    assert "@media print" in text
    pictures = "".join(re.findall(r"<svg.*?</svg>", text, re.DOTALL))
    assert "var(--ink)" in pictures
    assert "var(--series1)" in pictures
    assert set(re.findall(r"#[0-9a-f]{6}\b", pictures)) <= {"#000000", "#ffffff"}


def test_the_same_figures_give_the_same_page(measured: Report) -> None:
    assert page(measured) == page(measured)


def test_without_trials_it_tells_only_how() -> None:
    text = page(report())
    assert "How it was measured" in text
    assert "Targets" not in text


def test_recordings_and_talk_have_their_sections() -> None:
    found = report().model_copy(
        update={
            "recorded": figures("recordings", [trial(condition="recorded", voice="one.wav")]),
            "chatter": (
                Chatter(
                    name="all talk", hours=2.0, distinct_hours=1.0, passes=1, findings=2, values=0, controls=0, asks=7
                ),
            ),
        }
    )
    text = re.sub(r"<[^>]*>", " ", page(found))
    assert "Recordings" in text
    assert "all talk  2.00  1.00  0.5  1.0  0.0  0.0  1.5  3.5" in text


def test_markup_is_escaped_unless_it_is_markup() -> None:
    assert tag("p", "a < b", Markup("<b>c</b>"), class_='"x"') == '<p class="&quot;x&quot;">a &lt; b<b>c</b></p>'
    assert "<td>&lt;</td>" in table(["a"], [["<"]])


def test_a_name_is_no_formula_and_turns_nothing_round() -> None:
    """Pictures take $...$ for a formula, and one that is none broke the page."""
    other = trial(by="$\\frac{a}$ \u202eevil", condition="clean")
    text = page(report(other, trial(condition="clean"), trial(condition="\x1b[2J\u2066", voice="\u202e")))
    assert "$\\frac{a}$ \N{REPLACEMENT CHARACTER}evil" in text
    assert all(one.isprintable() or one in "\n\t" for one in text)
