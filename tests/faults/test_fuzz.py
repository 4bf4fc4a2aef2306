"""Whatever a file, a sound or a recogniser brings: one clear error or a right answer, and never anything invented."""

from __future__ import annotations

import json
import os
import string
from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handsfree.checklist.loading import read as read_checklist
from handsfree.checklist.problems import ChecklistError
from handsfree.hearing.ears import Ears
from handsfree.hearing.judge import Circumstances, judge
from handsfree.hearing.recogniser import Hypothesis
from handsfree.hearing.settings import JudgeSettings
from handsfree.journal.errors import JournalError
from handsfree.journal.reader import parse
from handsfree.journal.verification import verify
from handsfree.language.errors import GrammarError
from handsfree.language.grammars import Grammars
from handsfree.language.jsgf_reader import read_grammar
from handsfree.language.vocabulary import Vocabulary
from handsfree.walk.events import Expect
from tests.journal.recorded import sealed_walk
from tests.support.scripted_recogniser import ScriptedRecogniser
from tests.walk.conversation import SMALL, small

TIMES = int(os.environ.get("HANDSFREE_FUZZ", "1"))
"""How many times as much is tried as in the test suite."""
EXAMPLES = {"checklist": 60, "grammar": 100, "log": 60, "sound": 20, "readings": 150}
_SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


def tries(what: str) -> settings:
    return settings(deadline=None, suppress_health_check=_SLOW, max_examples=EXAMPLES[what] * TIMES)


T = TypeVar("T")
TEXT = SMALL.read_text(encoding="utf-8")
PIECES = (
    *("", "x", "0", "-1", "1e999", "null", "[]", "{}", "&a", "*a", "!!binary x", "<findings.leak>", "<none.at_all>"),
    *("(", ")", "[", "{a=b}", "a | | b", ": ", "- ", "\t", "\0", "\u202e", "'", '"', "#", "\u00e9", "yes"),
)


# ---- files


CHANGES = st.tuples(st.integers(0, len(TEXT)), st.integers(0, 40), st.sampled_from(PIECES))
"""At a place, so many characters, by something else."""


@tries("checklist")
@given(
    st.lists(st.tuples(st.integers(0, len(TEXT)), st.integers(0, 40), st.sampled_from(PIECES)), min_size=1, max_size=4)
)
def test_a_broken_checklist_is_a_checklist_or_a_list_of_problems(changes: list[tuple[int, int, str]]) -> None:
    text = TEXT
    for at, length, piece in changes:
        text = text[:at] + piece + text[at + length :]
    with TemporaryDirectory() as folder:
        file = Path(folder) / "broken.yaml"
        file.write_text(text, encoding="utf-8", errors="surrogatepass")
        try:
            read_checklist(file)
        except ChecklistError as error:
            problems = error.problems
        else:
            return
    assert problems
    assert all(one.file == str(file) and one.message for one in problems)


JSGF = st.lists(
    st.sampled_from(["<a>", "<b>", "=", ";", "(", ")", "[", "]", "|", "word", "two words", "*", "+", "{n=1}", "public",
                     "import", "<x.y>", "/2/", "grammar g;", "#JSGF V1.0;", "\\", "//", "/*", '"', "\n", "{", "}"]),
    max_size=25,
).map(" ".join)  # fmt: skip


@tries("grammar")
@given(JSGF, st.booleans())
def test_a_broken_grammar_is_a_grammar_or_an_error_with_its_place(body: str, headed: bool) -> None:
    text = f"#JSGF V1.0;\ngrammar g;\n{body}" if headed else body
    try:
        Grammars([read_grammar(text, "g.jsgf")])
    except GrammarError as error:
        place = (error.file, error.line)
    else:
        return
    assert place[0]
    assert place[1] >= 1


@cache
def log_bytes() -> bytes:
    with TemporaryDirectory() as folder:
        return (sealed_walk(Path(folder) / "walk") / "log.jsonl").read_bytes()


@tries("log")
@given(st.integers(0, 1_000_000), st.integers(0, 200), st.binary(max_size=60))
def test_a_broken_log_is_a_log_or_an_error(at: int, length: int, piece: bytes) -> None:
    raw = log_bytes()
    at %= len(raw)
    broken = raw[:at] + piece + raw[at + length :]
    with TemporaryDirectory() as folder:
        file = Path(folder) / "log.jsonl"
        file.write_bytes(broken)
        events, message = outcome(lambda: parse(file, broken).events)
        verified, no_event = outcome(lambda: verify(file).state)
    assert message.isprintable()
    whole = broken.split(b"\n")
    assert all(json.loads(line)["seq"] == one.seq for line, one in zip(whole, events or (), strict=False))
    assert verified in {"unsealed", "altered"} or "no event" in no_event


def outcome(act: Callable[[], T]) -> tuple[T | None, str]:
    """What came of it, or what the error says."""
    try:
        return act(), ""
    except JournalError as error:
        return None, error.message


# ---- sound and what is made of it


SOUNDS = st.sampled_from(("silence", "noise", "full scale", "clicks", "a tone", "a constant"))


def sound(kind: str, seed: int, samples: int) -> np.ndarray[tuple[int], np.dtype[np.int16]]:
    random = np.random.default_rng(seed)
    match kind:
        case "noise":
            made = random.normal(0, 3000, samples)
        case "full scale":
            made = random.choice([-32768, 32767], samples)
        case "clicks":
            made = np.where(random.random(samples) < 0.001, 32767, 0)
        case "a tone":
            made = 20000 * np.sin(np.arange(samples) * random.uniform(0.01, 3.0))
        case "a constant":
            made = np.full(samples, random.integers(-32768, 32768))
        case _:
            made = np.zeros(samples)
    return np.clip(made, -32768, 32767).astype(np.int16)


@tries("sound")
@given(st.lists(st.tuples(SOUNDS, st.integers(0, 9), st.integers(1, 20_000)), max_size=4), st.integers(1, 5000))
def test_whatever_the_sound_nothing_passes_that_was_not_read(pieces: list[tuple[str, int, int]], block: int) -> None:
    """A recogniser that hears no word: then nothing was said."""
    whole = np.concatenate([np.zeros(0, np.int16), *(sound(*one) for one in pieces)])
    ears = Ears(Path(), load=lambda _path, _costs: ScriptedRecogniser([(Hypothesis("", 0.0),)] * 50))
    blocks = iter([whole[at : at + block] for at in range(0, len(whole), block)])
    heard = ears.listen(blocks, vocabulary(), patience_s=None).heard
    assert (heard.outcome, heard.meanings) == ("none", ())


@cache
def vocabulary() -> Vocabulary:
    return small().listening.vocabulary(Expect("item", "nose-gear"))


WORDS = st.lists(
    st.sampled_from(["no", "not", "leak", "dry", "tires", "good", "cut", "on", "tire", "two", "[unk]", "and", "affirm",
                     "nose", "gear", "serviceable", "worn", "stand", "by", "isn't", "fuel"])
    | st.text(string.ascii_lowercase, max_size=8),
    max_size=7,
).map(" ".join)  # fmt: skip
READINGS = st.lists(st.tuples(WORDS, st.floats(-1e6, 1e6)), max_size=6)
AROUND = st.none() | st.builds(Circumstances, st.floats(-30, 90), st.floats(0, 20))


@tries("readings")
@given(st.lists(READINGS, min_size=1, max_size=3), AROUND)
def test_whatever_was_read_a_pass_was_strictly_parsed_in_each_decode(
    decodes: list[list[tuple[str, float]]], around: Circumstances | None
) -> None:
    heard = judge([[Hypothesis(*one) for one in decode] for decode in decodes], vocabulary(), JudgeSettings(), around)
    if heard.outcome not in {"ask", "none"}:
        parse = vocabulary().parse(heard.said)
        assert parse.clauses
        assert not parse.ambiguous
        assert set(heard.meanings) == set(parse.clauses)
    if heard.outcome == "pass":
        assert all(meaning.outcome == "pass" for meaning in heard.meanings)
        for decode in decodes:
            likeliest = max(decode, key=lambda one: one[1])[0]
            assert "[unk]" not in likeliest
            assert set(vocabulary().parse(likeliest).clauses) == set(heard.meanings)
