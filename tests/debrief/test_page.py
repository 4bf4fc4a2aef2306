"""The debrief as one page: what stands on it, and that nothing from a log becomes part of it."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from handsfree.debrief.gathering import Debrief, gather, sounds_of
from handsfree.debrief.page import page
from handsfree.debrief.remarks import Note, ScoreLine
from handsfree.journal import events as log
from handsfree.journal.privacy import forget
from tests.debrief import made
from tests.debrief.test_comparison import SHORT


class Reader(HTMLParser):
    """What a browser makes of a page: elements with their ids, addresses and text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.text = ""
        self.inside: dict[str, list[str]] = {"script": [], "style": []}
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in {"meta", "link"}:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] in self.inside:
            self.inside[self.open[-1]].append(data)
        else:
            self.text += data

    def all(self, tag: str) -> list[dict[str, str]]:
        return [attributes for name, attributes in self.elements if name == tag]

    @property
    def ids(self) -> list[str]:
        return [attributes["id"] for _, attributes in self.elements if "id" in attributes]

    @property
    def policy(self) -> str:
        return next(one["content"] for one in self.all("meta") if one.get("http-equiv") == "Content-Security-Policy")


def written(walk: Debrief, **more: object) -> str:
    return page(walk, sounds_of(walk), **more)  # pyright: ignore[reportArgumentType]


@pytest.fixture(scope="module")
def story(tmp_path_factory: pytest.TempPathFactory) -> Debrief:
    return made.story(tmp_path_factory.mktemp("story"))


@pytest.fixture(scope="module")
def attempts(tmp_path_factory: pytest.TempPathFactory) -> tuple[Debrief, Debrief]:
    folder = tmp_path_factory.mktemp("attempts")
    return made.attempt(folder / "one"), made.attempt(folder / "other", *SHORT)


@pytest.fixture(scope="module")
def told(story: Debrief) -> Reader:
    return Reader(written(story))


def test_it_says_who_walked_round_what_and_who_decides(told: Reader) -> None:
    for words in (
        "Debrief: Q7KTA",
        "Refer to the commander and maintenance. This record reports; it does not release the aircraft.",
        "not accepted, by AB",
        "intact: it is what was written",
        "The aircraft's own manuals, the local rules and licensed staff decide.",
    ):
        assert words in told.text, words
    assert "airworthy" not in told.text.lower()


def test_every_utterance_and_every_sentence_stands_there(story: Debrief, told: Reader) -> None:
    for stay in story.timeline.stays:
        for row in stay.rows:
            assert getattr(row, "words", None) or getattr(row, "text", None)
            assert getattr(row, "words", getattr(row, "text", "")) in told.text


def test_ids_are_there_once_and_every_way_leads_somewhere(told: Reader, attempts: tuple[Debrief, Debrief]) -> None:
    for reader in (told, Reader(written(attempts[0], others=attempts[1:]))):
        assert len(reader.ids) == len(set(reader.ids))
        ways = {one["href"][1:] for one in reader.all("a")}
        assert ways <= set(reader.ids), ways - set(reader.ids)
        described = {one for _, some in reader.elements for one in some.get("aria-labelledby", "").split()}
        assert described <= set(reader.ids)


def test_nothing_on_it_comes_from_elsewhere(told: Reader) -> None:
    assert not [one for _, some in told.elements for one in (some.get("src"),) if one]
    assert [one["href"] for one in told.all("link")] == ["data:,"]
    assert not any("style" in some for _, some in told.elements)
    assert not any(name.startswith("on") for _, some in told.elements for name in some)


def test_its_policy_allows_its_own_style_and_scripts_and_nothing_else(told: Reader) -> None:
    def digest(text: str) -> str:
        return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"

    *_, script = told.inside["script"]
    (style,) = told.inside["style"]
    assert told.policy == (
        f"default-src 'none'; style-src {digest(style)}; script-src {digest(script)}; media-src data:; img-src data:; "
        "connect-src 'none'; base-uri 'none'; form-action 'none'"
    )


def test_only_a_server_that_hands_in_a_token_is_spoken_to(told: Reader, story: Debrief) -> None:
    assert not [one for one in told.all("meta") if one.get("name") == "notes-token"]
    assert "fetch(" not in "".join(told.inside["script"])
    served = Reader(written(story, notes_token='t"0ken'))
    assert [one["content"] for one in served.all("meta") if one.get("name") == "notes-token"] == ['t"0ken']
    assert "connect-src 'self'" in served.policy
    assert "fetch(" in "".join(served.inside["script"])


def test_each_clip_is_in_it_once_as_mp3(story: Debrief, told: Reader) -> None:
    clips = json.loads(told.inside["script"][0])
    buttons = [one for one in told.all("button") if "data-clip" in one]
    assert len(buttons) == story.record.clips_kept > 0
    assert clips.keys() == {one["data-clip"] for one in buttons}
    assert all(base64.b64decode(one)[0] == 0xFF for one in clips.values())  # a frame of MPEG audio
    assert "Play “covers off”, 0.1 seconds" in [one["aria-label"] for one in buttons]


def test_sound_that_is_gone_or_not_what_was_recorded_is_not_played(tmp_path: Path) -> None:
    walk = made.story(tmp_path)
    (altered, *_) = sorted((walk.folder / "clips").iterdir())
    altered.write_bytes(altered.read_bytes()[:-2] + b"\1\1")
    again = gather(walk.folder)
    assert sounds_of(again).states[int(altered.stem)] == "altered"
    text = Reader(written(again)).text
    assert "sound is not what was recorded" in text
    assert "This record is altered" in text
    forget(walk.folder)
    gone = gather(walk.folder)
    assert set(sounds_of(gone).states.values()) == {"removed"}
    assert "sound removed" in Reader(written(gone)).text


@pytest.mark.parametrize("name", ["../secret.wav", "/etc/passwd", "clips/../../x.wav"])
def test_no_sound_is_taken_from_outside_the_folder_of_clips(name: str, story: Debrief, tmp_path: Path) -> None:
    (tmp_path / "secret.wav").write_bytes(next((story.folder / "clips").iterdir()).read_bytes())

    def elsewhere(event: log.AnyEvent) -> log.AnyEvent:
        if not isinstance(event, log.HeardEvent) or event.clip is None:
            return event
        return event.model_copy(update={"clip": event.clip.model_copy(update={"file": name})})

    walk = made.changed(story, tmp_path / "walk", elsewhere)
    sounds = sounds_of(walk)
    assert set(sounds.states.values()) == {"altered"}
    assert not sounds.mp3


def test_of_too_much_sound_the_findings_are_kept(story: Debrief) -> None:
    found = [row.at.event for stay in story.timeline.stays for row in stay.rows if "finding" in row.marks]
    one_clip = len(next(iter(sounds_of(story).mp3.values())))
    few = sounds_of(story, most=one_clip * 2)
    assert set(few.mp3) == set(found[:2])
    assert "left out" in few.states.values()
    assert "sound left out" in Reader(page(story, few)).text


def test_hostile_words_are_text(story: Debrief, tmp_path: Path) -> None:
    def hostile(event: log.AnyEvent) -> log.AnyEvent:
        texts = {name for name, value in event if isinstance(value, str)} & {
            "said", "text", "words", "description", "who", "why", "decision", "registration", "message", "tool",
        }  # fmt: skip
        return event.model_copy(update=dict.fromkeys(texts, made.HOSTILE))

    walk = made.changed(story, tmp_path / "walk", hostile)
    notes = [Note(1, made.HOSTILE, made.HOSTILE, made.HOSTILE)]
    score = [ScoreLine(made.HOSTILE, -1, None)]
    text = written(walk, notes=notes, score=score, notes_token=made.HOSTILE, others=[walk])
    reader = Reader(text)
    assert "<img" not in text
    assert len(reader.all("script")) == 3
    assert "\u202e" not in text
    assert reader.text.count("</script><img src=x onerror=alert(1)>") > 20


def test_practice_is_called_practice_and_shows_truth_beside_the_answer(attempts: tuple[Debrief, Debrief]) -> None:
    text = Reader(written(attempts[0])).text
    for words in (
        "Practice. No aircraft was inspected.",
        "Practice: nothing here belongs into a technical log.",
        "2 of 3planted defects reported1 false alarm",
        "Over the right one hangs a grey bag.",
        "a defect: A bag over the tube stops the airspeed.",
        "“covers off”",
    ):
        assert words in text, words


def test_a_score_shows_its_reasons_and_their_sum(attempts: tuple[Debrief, Debrief]) -> None:
    event = attempts[0].timeline.stays[1].rows[1].at.event
    reader = Reader(written(attempts[0], score=[ScoreLine("full", 100, None), ScoreLine("missed", -15, event)]))
    assert "missed-15" in reader.text
    assert "Sum85" in reader.text
    assert f"#e{event}" in [one["href"] for one in reader.all("a")]


def test_notes_stand_at_their_events(attempts: tuple[Debrief, Debrief]) -> None:
    missed = next(row for stay in attempts[0].timeline.stays for row in stay.rows if "miss" in row.marks)
    note = Note(missed.at.event, "RT", "2026-01-05T12:00:00.000Z", "Said before looking.", "hit")
    reader = Reader(written(attempts[0], notes=[note]))
    assert "Note by RT, 2026-01-05 12:00 UTC: Said before looking. Judged anew: hit." in reader.text
    (row,) = [one for one in reader.all("li") if one.get("id") == f"e{missed.at.event}"]
    assert "note" in row["data-marks"].split()
    assert "note" in [one.get("data-show") for one in reader.all("button")]


def test_walks_are_compared_only_when_there_are_several(attempts: tuple[Debrief, Debrief], told: Reader) -> None:
    assert "comparison" not in told.ids
    text = Reader(written(attempts[0], others=attempts[1:])).text
    assert "never there" in text
    assert "practice (scenes)" in text


def test_the_route_is_drawn_in_the_order_walked(told: Reader, story: Debrief) -> None:
    assert "In the order walked: Nose " in told.text
    assert "1. Nose, " in told.text
    assert len(told.all("circle")) == len(story.timeline.route) == 3
    numbers = [float(one) for some in told.all("circle") for one in (some["cx"], some["cy"])]
    assert all(0 <= one <= 900 for one in numbers)


def test_without_places_there_is_no_drawing_and_still_a_table(tmp_path: Path) -> None:
    walk = made.golden("pass", tmp_path)
    copy = walk.folder / "checklist.yaml"
    copy.write_text(re.sub(r"\n    at: .*", "", copy.read_text(encoding="utf-8")), encoding="utf-8")
    reader = Reader(written(gather(walk.folder)))
    assert reader.all("circle") == []
    assert "Time by zone" in reader.text


def test_a_walk_without_findings_says_only_what_was_said(tmp_path: Path) -> None:
    text = Reader(written(made.golden("pass", tmp_path))).text
    assert "No finding was reported. That is what was said, not what is so." in text
    assert "Not answered: " in text


@pytest.mark.parametrize("offsets", [(1.7e308,), (1.7e308, 0.0)], ids=["one", "beyond all numbers"])
def test_times_that_no_walk_can_take_are_no_more_than_text(
    story: Debrief, tmp_path: Path, offsets: tuple[float, ...]
) -> None:
    def late(event: log.AnyEvent) -> log.AnyEvent:
        return event.model_copy(update={"offset_s": offsets[event.seq % len(offsets)]}) if event.seq > 1 else event

    assert "Debrief: Q7KTA" in Reader(written(made.changed(story, tmp_path / "walk", late))).text
