"""Cutting an utterance into clauses, against trying every cut."""

from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.language.clauses import joiners
from handsfree.language.expansion import Expansion
from handsfree.language.jsgf_reader import read_expansion
from handsfree.language.meaning import Meaning
from handsfree.language.tongue import ENGLISH
from handsfree.language.vocabulary import Entry, Vocabulary

WORDS = ("a", "b", "and")

phrases = st.lists(
    st.tuples(st.lists(st.sampled_from(WORDS), min_size=1, max_size=3).map(" ".join), st.sampled_from(("x", "y", "z"))),
    min_size=1,
    max_size=5,
)
utterances = st.lists(st.sampled_from(WORDS), max_size=7)


def all_readings(words: list[str], said: list[tuple[str, str]], *, begun: bool = False) -> set[tuple[str, ...]]:
    """The oracle: every way to take the words off from the front, a thing said twice counting once."""
    if not words:
        return {()} if begun else set()
    found: set[tuple[str, ...]] = set()
    for joined in (0, 1):
        if joined and not (begun and words[0] in joiners(ENGLISH)):
            continue
        rest = words[joined:]
        for phrase, name in said:
            parts = phrase.split()
            if rest[: len(parts)] == parts:
                after = all_readings(rest[len(parts) :], said, begun=True)
                found |= {tuple(dict.fromkeys((name, *others))) for others in after}
    return found


@given(phrases, utterances)
@settings(max_examples=300, deadline=None)
def test_every_reading_is_found_and_doubt_is_said(said: list[tuple[str, str]], words: list[str]) -> None:
    vocabulary = Vocabulary.build(
        [Entry(Expansion(phrase, read_expansion(phrase)), "finding", (("finding", name),)) for phrase, name in said]
    )
    expected = all_readings(words, said)
    parse = vocabulary.parse(" ".join(words))
    found = {parse.clauses, *parse.others} - {()}
    assert found == {tuple(Meaning.of("finding", finding=name) for name in names) for names in expected}
    assert parse.ambiguous == (len(expected) > 1)
