"""One form for comparing; the recogniser's form."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.language.spelling import Lexicon, compared_form, recognised_form, unknown_words

LEXICON = Lexicon({"nacelle": "na sell", "de-iced": "d iced", "x-ray": "x ray"})
SNIPPETS = st.sampled_from(
    [
        "tyre",
        "Tyres",
        "nacelle",
        "de-iced",
        "X-ray",
        "'",
        "\u2019",
        "-",
        "\u2013",
        ".",
        ",",
        "/",
        "%",
        "0",
        "75",
        "1/2",
        " ",
        "don't",
    ]
)


@pytest.mark.parametrize(
    ("written", "recognised"),
    [
        ("Tyres GOOD", "tires good"),
        ("grey aluminium fibre centre colour", "gray aluminum fiber center color"),
        ("tires good", "tires good"),
        ("nacelle dry", "na sell dry"),
        ("de-iced", "d iced"),
        ("flat-spot", "flat spot"),
        ("don't, isn\u2019t 'quoted'", "don't isn't quoted"),
        ("no leaks, tyres good.", "no leaks tires good"),
        ("tyre 2", "tire two"),
        ("tyre2", "tire two"),
        ("185 psi", "one eight five psi"),
        ("1,800", "one eight zero zero"),
        ("0.75", "zero decimal seven five"),
        ("3/4", "three quarters"),
        ("75%", "seven five percent"),
        ("niner", "niner"),
        ("...", ""),
        ("", ""),
    ],
)
def test_the_recognised_form(written: str, recognised: str) -> None:
    assert recognised_form(written, LEXICON) == recognised


@pytest.mark.parametrize(
    ("written", "recognised"),
    [
        ("5-10", "five to one zero"),
        ("3/5", "three over five"),
        ("-5", "minus five"),
        ("1.2.3", "one decimal two decimal three"),
    ],
)
def test_figures_with_signs_never_run_together_into_another_number(written: str, recognised: str) -> None:
    assert recognised_form(written) == recognised


@given(st.one_of(st.text(max_size=30), st.lists(SNIPPETS, max_size=8).map("".join)))
def test_spelling_twice_is_spelling_once(text: str) -> None:
    once = recognised_form(text, LEXICON)
    assert recognised_form(once, LEXICON) == once
    assert compared_form(" ".join(compared_form(text, LEXICON)), LEXICON) == compared_form(text, LEXICON)


def test_the_digits_of_radiotelephony_compare_as_the_plain_ones() -> None:
    assert compared_form("wun tree fower fife ait niner") == ("one", "three", "four", "five", "eight", "nine")


def test_words_that_the_model_lacks_are_named_once_in_their_recognised_form() -> None:
    known = {"na", "sell", "dry", "the"}
    assert unknown_words("the nacelle dry", known.__contains__, LEXICON) == ()
    assert unknown_words("the radome, the Radome tyre", known.__contains__, LEXICON) == ("radome", "tire")
