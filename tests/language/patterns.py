"""Random phrase patterns, and a slow obvious way to decide what they accept."""

import re

from hypothesis import strategies as st

from handsfree.language.jsgf_tree import Alternatives, Node, Null, Optional, Repeat, Sequence, Token, Void
from handsfree.language.measure import children

WORDS = ("a", "b", "c")

words = st.sampled_from(WORDS).map(Token)
leaves = st.one_of(words, words, words, st.just(Null()), st.just(Void()))


def _larger(inner: st.SearchStrategy[Node]) -> st.SearchStrategy[Node]:
    several = st.lists(inner, min_size=2, max_size=3).map(tuple)
    return st.one_of(several.map(Sequence), several.map(Alternatives), inner.map(Optional))


def _larger_with_loops(inner: st.SearchStrategy[Node]) -> st.SearchStrategy[Node]:
    return st.one_of(_larger(inner), st.builds(Repeat, inner, st.sampled_from((0, 1))))


plain_patterns = st.recursive(leaves, _larger, max_leaves=7)
"""Without repetitions."""
patterns = st.recursive(leaves, _larger_with_loops, max_leaves=7)
utterances = st.lists(st.sampled_from(WORDS), max_size=6).map(" ".join)


def accepted_by(pattern: Node, text: str) -> bool:
    """The oracle: the pattern as a regular expression over words that each end in a space."""
    spaced = "".join(f"{word} " for word in text.split())
    return re.fullmatch(_expression(pattern), spaced) is not None


def _expression(node: Node) -> str:
    inside = [_expression(child) for child in children(node)]
    match node:
        case Token(text):
            return f"(?:{text} )"
        case Void():
            return "(?!)"
        case Alternatives():
            return f"(?:{'|'.join(inside)})"
        case Optional():
            return f"(?:{inside[0]})?"
        case Repeat(_, least):
            return f"(?:{inside[0]}){'+' if least else '*'}"
        case _:  # a sequence, nothing, or something with a tag
            return "".join(inside)
