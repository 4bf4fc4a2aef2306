"""Sound devices fail under a real live walk: the walk is held, says so, and goes on; nothing is lost or invented."""

from __future__ import annotations

import signal
import time
from collections import Counter
from collections.abc import Callable, Generator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from demo.virtual_audio import EAR_RATE, Recording, VirtualAudio
from handsfree import speech_model
from handsfree.book import open_book
from handsfree.journal import events as log
from handsfree.journal.reader import read
from handsfree.journal.verification import verify
from handsfree.replay import replay
from handsfree.steadfast import CAN_SPEAK, CANNOT_SPEAK, NO_SOUND_AT_ALL
from handsfree.walk import wording
from tests.faults.figures import Row
from tests.support.live_program import LiveProgram, NotShownError
from tests.support.live_walk import ANSWERS

HELD_S = 2.5
NOTICED_S = 2.0
"""A fault is shown within this, and said with its first word."""
ENDED_S = 2.0
"""A held walk that is told to end has ended within this."""
_CANNOT_HEAR = "I cannot hear"
_HEARS_AGAIN = "I hear you again."
_LOUD = 300
"""Of 32,767: what the ear hears is zero when nothing is said."""


class Survived:
    """What came of one fault."""

    def __init__(self) -> None:
        self.noticed_s: list[float] = []
        self.problems: list[str] = []

    def need(self, right: bool, problem: str) -> None:
        """Keep what is not right."""
        if not right:
            self.problems.append(problem)

    def noticed(self, what: str, seconds: float) -> None:
        """A fault was shown or said after so long."""
        self.noticed_s.append(seconds)
        self.need(seconds < NOTICED_S, f"{what} after {seconds:.1f} s")


@dataclass(frozen=True)
class Stage:
    """A sound card, a walk on it, and a folder whose files make faults in its sound library."""

    card: VirtualAudio
    program: LiveProgram
    faults: Path
    came: Survived
    held_s: float
    """So long a device stays away: it is looked for several times meanwhile."""

    def expect(self, text: str, since: float, after: int) -> int:
        """A fault is shown in time, and by the bell; how many lines had come then."""
        line = self.program.wait_for(text, after=after)
        self.came.noticed(f"{text!r} was shown", line.at - since)
        self.came.need(line.bell, f"no bell at {text!r}")
        return self.program.lines.index(line) + 1

    def said(self, text: str) -> list[log.Said]:
        """What the log holds of a sentence."""
        return [one for one in self.program.events() if isinstance(one, log.Said) and one.text == text]

    def back(self, text: str, after: int) -> int:
        """A device is back."""
        return self.program.lines.index(self.program.wait_for(text, after=after)) + 1

    @contextmanager
    def said_after(self, what: str) -> Generator[Callable[[], None]]:
        """The first sound from the loudspeaker after the moment that is marked with what this yields."""
        marked: list[float] = []
        with self.card.listening() as recording:
            yield lambda: marked.append(time.monotonic())
        first = _first_loud(recording, marked[0])
        self.came.need(first is not None, f"{what} was not said")
        if first is not None:
            self.came.noticed(f"{what} was said", first - marked[0])


Scene = Callable[[Stage, int], int]
"""Takes and gives how many lines had come: before the question of the fault, and before it is put again."""


def _microphone_falls_silent_in_a_word(stage: Stage, after: int) -> int:
    after = stage.program.asked("Tyres?", after=after)
    with stage.said_after("the fault") as begin:
        talking = stage.program.begin_to_say("cut on tyre two", 0.4)
        stage.card.hold_still("microphone", still=True)
        begin()
        after = stage.expect(_CANNOT_HEAR, time.monotonic(), after)
        time.sleep(stage.held_s)
    talking.join()
    stage.card.hold_still("microphone", still=False)
    return stage.back(_HEARS_AGAIN, after)


def _microphone_busy_when_it_is_looked_for(stage: Stage, after: int) -> int:
    after = stage.program.asked("Red disc?", after=after)
    stage.card.hold_still("microphone", still=True)
    (stage.faults / "busy").touch()
    after = stage.expect(_CANNOT_HEAR, time.monotonic(), after)
    stage.card.hold_still("microphone", still=False)
    time.sleep(stage.held_s)
    stage.came.need(not stage.program.shown(_HEARS_AGAIN), "it took a device that was another program's")
    (stage.faults / "busy").unlink()
    return stage.back(_HEARS_AGAIN, after)


def _microphone_at_another_rate(stage: Stage, after: int) -> int:
    asked = stage.program.wait_for(wording.LEVEL, after=after)
    shown = stage.program.wait_for(_CANNOT_HEAR, after=after)
    (said,) = stage.said(wording.LEVEL)
    stage.came.noticed("the rate", shown.at - asked.at - said.seconds)
    time.sleep(stage.held_s)
    stage.came.need(not stage.program.shown(_HEARS_AGAIN), "it took a device that still has another rate")
    (stage.faults / "wrong-rate").unlink()
    return stage.back(_HEARS_AGAIN, after)


def _sound_is_lost_in_an_answer(stage: Stage, after: int) -> int:
    after = stage.program.asked("Tyres?", after=after)
    talking = stage.program.begin_to_say("tyres good", 0.2)
    (stage.faults / "overflow").touch()
    talking.join()
    after = stage.back(wording.LOST_SOUND, after)
    (lost,) = (one for one in stage.program.events() if isinstance(one, log.HeardEvent) and one.lost_sound)
    stage.came.need(lost.outcome == "ask", f"an answer with a hole was taken as {lost.outcome}")
    return after


def _microphone_is_muted(stage: Stage, after: int) -> int:
    with stage.said_after("that it gives no sound") as begin:
        after = stage.program.asked(wording.LEVEL, after=after)
        begin()
        after = stage.expect(NO_SOUND_AT_ALL, time.monotonic(), after)
        time.sleep(stage.held_s)
    stage.program.say(ANSWERS[wording.LEVEL])
    before = stage.back("Main gear.", after)
    after = stage.program.asked("Tyres?", after=before)
    shut = time.monotonic()
    meter = stage.program.wait_for("no sound at all", after=after)
    stage.came.noticed("the shut microphone was shown", meter.at - shut)
    time.sleep(stage.held_s)
    stage.came.need(stage.program.shown(NO_SOUND_AT_ALL) == 1, "a microphone that shuts itself was complained of again")
    return before


def _loudspeaker_stops_in_a_sentence(stage: Stage, after: int) -> int:
    stage.program.wait_for(wording.LEVEL, after=after)
    time.sleep(0.5)
    stage.card.hold_still("ear", still=True)
    after = stage.expect(CANNOT_SPEAK, time.monotonic(), after)
    time.sleep(stage.held_s)
    stage.card.hold_still("ear", still=False)
    with stage.card.listening() as recording:
        back = stage.back(CAN_SPEAK, after)
        again = stage.program.lines[back - 1].at
        stage.program.wait_for(" dB", after=back)
    (said,) = stage.said(wording.LEVEL)
    loud_s = _loud_s(recording, again)
    stage.came.need(loud_s > 0.7 * said.seconds, f"only {loud_s:.1f} of {said.seconds:.1f} s were spoken again")
    return after  # the sentence was shown with the fault


def _loudspeaker_gone_before_a_sentence(stage: Stage, after: int) -> int:
    after = stage.program.asked("Tyres?", after=after)
    stage.card.unplug_ear()
    stage.program.say(ANSWERS["Tyres?"])
    heard = stage.program.wait_for(f"> {ANSWERS['Tyres?']}", after=after)
    after = stage.expect(CANNOT_SPEAK, heard.at, after)
    shown = stage.program.wait_for("Red disc?", after=after)
    stage.came.noticed("what could not be said was shown", shown.at - heard.at)
    time.sleep(stage.held_s)
    stage.card.plug_in_ear()
    return stage.back(CAN_SPEAK, after)


def _sound_server_dies_in_a_word(stage: Stage, after: int) -> int:
    after = stage.program.asked("Red disc?", after=after)
    talking = stage.program.begin_to_say("red in place", 0.3)
    stage.card.kill()
    died = time.monotonic()
    after = min(stage.expect(_CANNOT_HEAR, died, after), stage.expect(CANNOT_SPEAK, died, after))
    talking.join()
    time.sleep(stage.held_s)
    stage.card.start()
    return max(stage.back(_HEARS_AGAIN, after), stage.back(CAN_SPEAK, after))


def _sound_server_dies_in_a_sentence(stage: Stage, after: int) -> int:
    stage.program.wait_for(wording.LEVEL, after=after)
    time.sleep(0.3)
    stage.card.kill()
    after = stage.expect(CANNOT_SPEAK, time.monotonic(), after)
    time.sleep(stage.held_s)
    stage.card.start()
    stage.back(CAN_SPEAK, after)
    return after


@dataclass(frozen=True)
class Fault:
    """A kind of fault, and what the log must hold of it beside a whole walk."""

    name: str
    question: str
    """At which it is made."""
    scene: Scene
    then: str = ""
    """The question that is put when it is over; the same one if not given."""
    troubles: int = 2
    """One when it begins, one when it ends, of each device."""
    heard_twice: str = ""
    """Heard with a hole, and asked again."""
    present: str = ""
    """A file of the faulty sound library that is there from the start."""


UNPLUGGED = Fault("microphone silent in a word", "Tyres?", _microphone_falls_silent_in_a_word)
SPEAKER_GONE = Fault("loudspeaker stops in a sentence", wording.LEVEL, _loudspeaker_stops_in_a_sentence)
RESTARTED = Fault("sound server dies in a word", "Red disc?", _sound_server_dies_in_a_word, troubles=4)
FAULTS = (
    UNPLUGGED,
    Fault("microphone busy when it is looked for", "Red disc?", _microphone_busy_when_it_is_looked_for),
    Fault("another rate", wording.LEVEL, _microphone_at_another_rate, present="wrong-rate"),
    Fault("sound is lost", "Tyres?", _sound_is_lost_in_an_answer, troubles=0, heard_twice="tyres good"),
    Fault("microphone muted", wording.LEVEL, _microphone_is_muted, then="Tyres?", troubles=1),
    SPEAKER_GONE,
    Fault("no loudspeaker before a sentence", "Tyres?", _loudspeaker_gone_before_a_sentence, then="Red disc?"),
    RESTARTED,
    Fault("sound server dies in a sentence", wording.LEVEL, _sound_server_dies_in_a_sentence, troubles=4),
)


def survive(
    faults: Sequence[Fault], card: VirtualAudio, model: Path, folder: Path, *, held_s: float = HELD_S
) -> tuple[Survived, int, int]:
    """Make the faults in one walk, in the order of its questions; what came of it, and answers lost and invented."""
    came, present = Survived(), folder / "faults"
    present.mkdir(parents=True)
    for fault in faults:
        if fault.present:
            (present / fault.present).touch()
    with LiveProgram(card, model, folder / "walk", present) as program:
        stage, after, questions = Stage(card, program, present, came, held_s), 0, list(ANSWERS)
        try:
            for fault in faults:
                before = questions[: questions.index(fault.question)]
                after = program.answer({one: ANSWERS[one] for one in before}, after=after)
                after = fault.scene(stage, after)
                questions = questions[questions.index(fault.then or fault.question) :]
            program.answer({one: ANSWERS[one] for one in questions}, after=after)
            came.need(program.program.wait(timeout=30) == 0, "the walk did not come to its end")
        except NotShownError as error:
            came.problems.append(str(error)[:3000])
    return came, *_judge(folder / "walk", faults, came)


def _judge(folder: Path, faults: Sequence[Fault], came: Survived) -> tuple[int, int]:
    journal = read(folder)
    heard = [one.said for one in journal.events if isinstance(one, log.HeardEvent)]
    twice = {one.heard_twice for one in faults}
    given = [words for one in ANSWERS.values() for words in ([one, one] if one in twice else [one])]
    troubles = [one.message for one in journal.events if isinstance(one, log.Trouble)]
    came.need(len(troubles) == sum(one.troubles for one in faults), f"the log has {len(troubles)} troubles: {troubles}")
    came.need(_held(journal.events), "something was heard, answered or asked while the walk was held")
    came.need(journal.ended and verify(folder).state == "intact", f"the log is {verify(folder).state}")
    came.need(replay(open_book(journal), journal.events)[1] == [], "the log does not replay")
    lost, invented = Counter(given) - Counter(heard), Counter(heard) - Counter(given)
    came.need(bool(lost or invented) or heard == given, "the answers are in another order")
    return lost.total(), invented.total()


def _held(events: Sequence[log.AnyEvent]) -> bool:
    """Whether nothing but troubles stands between a fault and the end of all faults."""
    gone = 0
    for one in events:
        if isinstance(one, log.Trouble):
            gone += 1 if "The walk waits." in one.message else -1 if one.message in (_HEARS_AGAIN, CAN_SPEAK) else 0
        elif gone:
            return False
    return gone == 0


def _first_loud(recording: Recording, since: float) -> float | None:
    loud = np.flatnonzero(np.abs(recording.samples.astype(int)) > _LOUD) / EAR_RATE + recording.started
    later = loud[loud > since]
    return float(later[0]) if len(later) else None


def _loud_s(recording: Recording, since: float) -> float:
    samples = recording.samples[max(0, round((since - recording.started) * EAR_RATE)) :].astype(float)
    frame = EAR_RATE // 20
    frames = samples[: len(samples) // frame * frame].reshape(-1, frame)
    return float((np.sqrt(np.mean(frames**2, axis=1)) > _LOUD / 6).sum() / 20)


def told_to_end(card: VirtualAudio, model: Path, folder: Path, number: signal.Signals) -> str:
    """A held walk is told to end; what is wrong with that, if anything."""
    (folder / "faults").mkdir(parents=True)
    with LiveProgram(card, model, folder / "walk", folder / "faults") as program:
        program.asked(wording.LEVEL)
        card.hold_still("microphone", still=True)
        program.wait_for(_CANNOT_HEAR)
        time.sleep(HELD_S)
        took_s = program.stop(number)
        card.hold_still("microphone", still=False)
        status = program.program.returncode
        told = program.shown("Stopped by") and program.shown("The walk is not over. Go on with:")
    if took_s > ENDED_S or status != 3 or not told:
        return f"{number.name}: it took {took_s:.1f} s, with status {status}, {'told' if told else 'not told'}"
    return "" if verify(folder / "walk").state == "unsealed" else f"{number.name}: the log is broken"


def devices(folder: Path) -> Row:
    """Each fault in a live walk; and a held walk is told to end."""
    row = Row("a sound device fails in the middle of a walk")
    model = speech_model.locate().path
    slowest = 0.0
    with VirtualAudio() as card:
        for number, fault in enumerate(FAULTS):
            came, lost, invented = survive([fault], card, model, folder / str(number))
            problem = "; ".join(f"{fault.name}: {one}" for one in came.problems)
            row.count(lost=lost, invented=invented, problem=problem)
            slowest = max(slowest, *came.noticed_s, 0.0)
        for number in (signal.SIGINT, signal.SIGTERM):
            row.count(problem=told_to_end(card, model, folder / number.name, number))
    row.figure = f"shown and said after {slowest:.1f} s at the latest"
    return row
