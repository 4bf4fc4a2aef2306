"""Words as sounds."""

from collections.abc import Collection

import pytest

from handsfree.language.sounds import Phonemes, Sound, sounds, spelled_out

SAID: dict[str, Phonemes] = {
    "leak": ("L", "IY", "K"),
    "leaks": ("L", "IY", "K", "S"),
    "cover": ("K", "AH", "V", "ER0"),
    "on": ("AA", "N"),
    "holes": ("HH", "OW", "L", "Z"),
    "unsaid": (),
}


def pronounce(_words: Collection[str]) -> dict[str, Phonemes]:
    return SAID


def written(words: str) -> str:
    """Weak sounds in small letters."""
    (heard,) = sounds([words], pronounce)
    return " ".join(sound.phoneme.lower() if sound.is_weak else sound.phoneme for sound in heard)


@pytest.mark.parametrize(
    ("words", "as_sounds"),
    [
        ("leak", "L IY k"),  # a stop at the end is easily lost
        ("leaks", "L IY K S"),
        ("cover on", "K AH V er AA N"),  # so is a vowel without stress
        ("holes", "hh OW L Z"),  # and h
        ("pitting", "P IH T ih NG"),  # nobody knows how it is said: by its letters
        ("unsaid", "AH N S ey d"),
        ("", ""),
    ],
)
def test_the_sounds_of_words(words: str, as_sounds: str) -> None:
    assert written(words) == as_sounds


def test_the_words_of_all_phrases_are_asked_for_together() -> None:
    asked: list[Collection[str]] = []

    def note(words: Collection[str]) -> dict[str, Phonemes]:
        asked.append(words)
        return SAID

    sounds(["cover on", "leak", "leak"], note)
    assert asked == [{"cover", "on", "leak"}]


@pytest.mark.parametrize(
    ("word", "phonemes"),
    [
        ("wilco", "W IH L K AA0"),
        ("blickshaw", "B L IH K SH AO0"),
        ("pitting", "P IH T IH0 NG"),
        ("grate", "G R AE T"),  # a silent e is left out, what it does to the vowel is not known
        ("the", "TH EH"),
        ("ünß", "N"),
    ],
)
def test_a_word_that_is_not_known_is_spelled_out(word: str, phonemes: str) -> None:
    assert spelled_out(word) == tuple(phonemes.split())


def test_a_sound_knows_that_it_is_weak() -> None:
    assert sounds(["cover"], pronounce)[0][-1] == Sound("ER", is_weak=True)
