"""Examples in the manner of the W3C note "JSpeech Grammar Format", 5 June 2000.

From memory, but for the command with weights and politeness, which was read in the class documentation of the CMU
Sphinx-4 JSGF reader, and the nulls and loops, which were read in the regression grammar of CMU PocketSphinx.
"""

import pytest

from handsfree.language.errors import GrammarError
from handsfree.language.grammars import Grammars
from handsfree.language.jsgf_reader import read_grammar


def grammar(body: str, name: str = "example") -> Grammars:
    return Grammars([read_grammar(f"#JSGF V1.0;\ngrammar {name};\n{body}", "example.jsgf")])


def sayable(body: str, rule: str) -> set[str]:
    return {path.written for path in grammar(body).expansion(f"<example.{rule}>").paths()}


@pytest.mark.parametrize("header", ["#JSGF V1.0;", "#JSGF V1.0 ISO8859-5;", "#JSGF V1.0 ISO8859-5 en;", "#JSGF v1.0;"])
def test_headers(header: str) -> None:
    assert read_grammar(f"{header}\ngrammar a;", "a").version == "1.0"


def test_weights_and_politeness() -> None:
    command = grammar(
        """
        public <basicCmd> = <startPolite> <command> <endPolite>;
        <command> = <action> <object>;
        <action> = /10/ open |/2/ close |/1/ delete |/1/ move;
        <object> = [the | a] (window | file | menu);
        <startPolite> = (please | kindly | could you | oh  mighty computer) *;
        <endPolite> = [ please | thanks | thank you ];
        """
    ).expansion("<example.basicCmd>")
    for said in ("open a file", "oh mighty computer please open a menu", "close window thank you"):
        assert command.accepts(said)
    for not_said in ("open", "a file open", "open a file mighty computer"):
        assert not command.accepts(not_said)


def test_nulls_say_nothing() -> None:
    body = """public <nulltest> = <ones> <twos> <threes>;
        <ones> = <NULL> (one [and] one); <twos> = <NULL> (two [and] two); <threes> = <NULL> (three [and] three);"""
    assert "one one two and two three three" in sayable(body, "nulltest")
    assert len(sayable(body, "nulltest")) == 8


def test_loops_of_phrases_before_a_command() -> None:
    kleene = grammar("public <kleene> = <polite>* don't crash; <polite> = please | kindly | oh mighty computer;")
    assert kleene.expansion("<example.kleene>").accepts("kindly oh mighty computer please don't crash")


def test_a_sequence_with_void_cannot_be_said() -> None:
    assert sayable("public <x> = a <VOID> | b;", "x") == {"b"}


def test_operators_bind_tighter_than_sequences_and_those_tighter_than_alternatives() -> None:
    assert sayable("public <x> = a b* | c d;", "x") == {"a", "a b", "a b b", "c d"}


def test_a_quoted_token_is_one_token_and_its_quotes_can_be_escaped() -> None:
    assert sayable(r'public <city> = "New York" | "the \"Big\" Apple";', "city") == {"New York", 'the "Big" Apple'}


def test_tags_attach_to_what_is_before_them() -> None:
    body = r"public <country> = (Australia | Oz) {AU} | (United States) {US} {name=a \{brace\}};"
    paths = grammar(body).expansion("<example.country>").paths()
    assert {path.written: path.slots for path in paths} == {
        "Australia": (("AU", ""),),
        "Oz": (("AU", ""),),
        "United States": (("US", ""), ("name", "a {brace}")),
    }


def test_imported_rules_by_simple_and_by_full_name() -> None:
    numbers = read_grammar("#JSGF V1.0;\ngrammar com.example.numbers;\npublic <digits> = one | two;", "numbers.jsgf")
    user = read_grammar(
        "#JSGF V1.0;\ngrammar user;\nimport <com.example.numbers.*>;\n"
        "public <x> = <digits> | <numbers.digits> | <com.example.numbers.digits>;",
        "user.jsgf",
    )
    assert {path.written for path in Grammars([numbers, user]).expansion("<user.x>").paths()} == {"one", "two"}


@pytest.mark.parametrize(
    "body",
    [
        "public <command> = <command> please;",  # left recursion: illegal in the note as well
        "public <command> = go | <nested>; <nested> = please <command>;",  # right recursion: legal there, refused here
    ],
)
def test_recursion_is_refused(body: str) -> None:
    with pytest.raises(GrammarError, match="may not contain itself"):
        grammar(body)


@pytest.mark.parametrize(
    "body", ["<x> = ();", "<x> = [];", "<x> = a | ;", "<x> = ;", "<x> = /2/ a | b;", "<x> = {tag};"]
)
def test_what_the_note_calls_illegal_is_refused(body: str) -> None:
    with pytest.raises(GrammarError):
        grammar(body)
