"""What is told when a sound device fails and when it is back, and that each is told once."""

from __future__ import annotations

from handsfree.steadfast import CAN_SPEAK, CANNOT_SPEAK, Fault, Hold

DEAF = Fault("microphone", "no sound comes", "plug it in")
MUTE = Fault("loudspeaker", "there is no loudspeaker")
CANNOT_HEAR = "I cannot hear: the microphone is gone. The walk waits."
HEARS_AGAIN = "I hear you again."


def story(*tries: tuple[Fault, ...]) -> tuple[list[str], list[tuple[str, ...]]]:
    """What fails at each try: all that was reported, and what was said aloud after each try (if it could be)."""
    hold, reported, said = Hold(), list[str](), list[tuple[str, ...]]()
    for faults in tries:
        hold, reports = hold.after(faults)
        reported += [one.message for one in reports]
        said.append(hold.unsaid if hold.can_speak else ())
        hold = hold.said() if hold.can_speak else hold
    assert hold == Hold()
    return reported, said


def test_a_microphone_that_goes_and_comes_back_is_told_aloud_both_times() -> None:
    reported, said = story((DEAF,), ())
    assert reported == [f"{CANNOT_HEAR} (no sound comes)", HEARS_AGAIN]
    assert said == [(CANNOT_HEAR,), (HEARS_AGAIN,)]


def test_however_often_it_is_looked_for_it_is_told_once() -> None:
    reported, said = story((DEAF,), *[(Fault("microphone", f"try {number}"),) for number in range(1000)], ())
    assert len(reported) == 2
    assert [one for one in said if one] == [(CANNOT_HEAR,), (HEARS_AGAIN,)]


def test_a_loudspeaker_that_is_gone_is_only_shown_and_says_itself_that_it_is_back() -> None:
    reported, said = story((MUTE,), (MUTE,), ())
    assert reported == [f"{CANNOT_SPEAK} (there is no loudspeaker)", CAN_SPEAK]
    assert said == [(), (), ()]


def test_what_could_not_be_said_is_said_when_it_can_be_unless_it_is_over() -> None:
    _, said = story((DEAF, MUTE), (DEAF,), ())
    assert said == [(), (CANNOT_HEAR,), (HEARS_AGAIN,)]
    _, said = story((DEAF, MUTE), (MUTE,), ())
    assert said == [(), (), (HEARS_AGAIN,)]


def test_a_device_that_goes_again_before_its_return_was_said_is_not_said_to_be_back() -> None:
    _, said = story((DEAF, MUTE), (MUTE,), (DEAF,), ())
    assert said == [(), (), (CANNOT_HEAR,), (HEARS_AGAIN,)]


def test_the_hint_goes_with_the_fault() -> None:
    assert [one.hint for one in Hold().after((DEAF, MUTE))[1]] == ["plug it in", ""]
