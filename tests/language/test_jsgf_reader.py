"""Reading JSGF text: what it becomes, and where an error is."""

from pathlib import Path

import pytest

from handsfree.language.errors import GrammarError
from handsfree.language.jsgf_reader import read_expansion, read_grammar, read_grammar_file
from handsfree.language.jsgf_tree import (
    Alternatives,
    Import,
    Node,
    Null,
    Optional,
    Place,
    Ref,
    Repeat,
    Sequence,
    Tagged,
    Token,
    Void,
)

A, B, C = Token("a"), Token("b"), Token("c")


@pytest.mark.parametrize(
    ("text", "tree"),
    [
        ("a", A),
        ("a b", Sequence((A, B))),
        ("a | b c", Alternatives((A, Sequence((B, C))))),
        ("(a | b) c", Sequence((Alternatives((A, B)), C))),
        ("[a] b", Sequence((Optional(A), B))),
        ("a* b+", Sequence((Repeat(A, least=0), Repeat(B, least=1)))),
        ("a b*", Sequence((A, Repeat(B, least=0)))),
        ("(a b)*", Repeat(Sequence((A, B)), least=0)),
        ("<NULL> | <VOID>", Alternatives((Null(), Void()))),
        ('"New York"', Token("New York")),
        (r'"the \"hot\" side"', Token('the "hot" side')),
        ("a // to the end\n b", Sequence((A, B))),
        ("a /* over\nlines */ b", Sequence((A, B))),
        ("and/or o'clock de-iced", Sequence((Token("and/or"), Token("o'clock"), Token("de-iced")))),
        ("grammar import public", Sequence((Token("grammar"), Token("import"), Token("public")))),
    ],
)
def test_an_expansion_becomes_a_tree(text: str, tree: Node) -> None:
    assert read_expansion(text) == tree


def test_a_tag_belongs_to_what_stands_directly_before_it() -> None:
    assert read_expansion("a b {x=1}") == Sequence((A, Tagged(B, (("x", "1"),))))
    assert read_expansion("(a b) {x=1}") == Tagged(Sequence((A, B)), (("x", "1"),))
    assert read_expansion("a* {x=1} {y}") == Tagged(Tagged(Repeat(A, least=0), (("x", "1"),)), (("y", ""),))


def test_a_tag_holds_several_slots_and_escapes() -> None:
    assert read_expansion("a { side = left; number=2 ; }") == Tagged(A, (("side", "left"), ("number", "2")))
    assert read_expansion(r"a {x=\}\\}") == Tagged(A, (("x", r"}\ ".strip()),))


def test_weights_are_kept_and_a_weight_of_zero_cannot_be_said() -> None:
    assert read_expansion("/10/ a | /.5/ b | /2e-1f/ c") == Alternatives((A, B, C), (10.0, 0.5, 0.2))
    assert read_expansion("/1/ a | /0/ b") == Alternatives((A, Void()), (1.0, 0.0))


def test_a_reference_remembers_where_it_stands() -> None:
    assert read_expansion("a\n  <b.c>") == Sequence((A, Ref("b.c", Place("phrase", 2, 3))))


@pytest.mark.parametrize(
    ("text", "line", "column", "part"),
    [
        ("", 1, 1, "the end"),
        ("a (b", 1, 5, "expected ')'"),
        ("a )", 1, 3, "found ')'"),
        ("a | ", 1, 4, "the end"),
        ("()", 1, 2, "found ')'"),
        ("[]", 1, 2, "found ']'"),
        ("{x}", 1, 1, "found '{x}'"),
        ("* a", 1, 1, "found '*'"),
        ("a\nb ]", 2, 3, "found ']'"),
        ("a {x=1", 1, 3, "never closed"),
        ('a "b', 1, 3, "never closed"),
        ("a /* b", 1, 3, "never closed"),
        ("a <b", 1, 3, "never closed"),
        ("a ; b", 1, 3, "found ';'"),
        ("a /1/ b", 1, 3, "found '/1/'"),
        ("/1/ a | b", 1, 9, "expected a weight"),
        ('a ""', 1, 3, "empty"),
        ("a {=1}", 1, 3, "without a name"),
        ("(" * 16 + "a" + ")" * 16, 1, 17, "nested"),
    ],
)
def test_an_error_names_line_and_column(text: str, line: int, column: int, part: str) -> None:
    with pytest.raises(GrammarError) as caught:
        read_expansion(text)
    assert (caught.value.line, caught.value.column) == (line, column)
    assert part in caught.value.message
    assert str(caught.value).startswith(f"phrase:{line}:{column}: ")


def test_a_grammar_has_header_name_imports_and_rules() -> None:
    text = "#JSGF V1.0 utf-8 en;\n/** doc */\ngrammar com.example.small;\nimport <other.rule>;\nimport <more.*>;\n"
    read = read_grammar(text + "public <one> = a;\n<two> = b;\n", "small.jsgf")
    assert (read.version, read.encoding, read.locale, read.name) == ("1.0", "utf-8", "en", "com.example.small")
    assert read.imports == (
        Import("other", "rule", Place("small.jsgf", 4, 8)),
        Import("more", "*", Place("small.jsgf", 5, 8)),
    )
    assert [(rule.name, rule.public, rule.body, rule.place.line) for rule in read.rules] == [
        ("one", True, A, 6),
        ("two", False, B, 7),
    ]


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("grammar g; <a> = b;", "#JSGF V1.0;"),
        ("\n#JSGF V1.0;\ngrammar g;", "#JSGF V1.0;"),
        ("#JSGF V1.0\ngrammar g;", "#JSGF V1.0;"),
        ("#JSGF V2.0;\ngrammar g;", "#JSGF V1.0;"),
        ("#JSGF V1.0;\n<a> = b;", "grammar <name>"),
        ("#JSGF V1.0;\ngrammar g;\n<a> = ;", "found ';'"),
        ("#JSGF V1.0;\ngrammar g;\n<a> = b", "expected"),
        ("#JSGF V1.0;\ngrammar g;\n<NULL> = b;", "special"),
        ("#JSGF V1.0;\ngrammar g;\n<x.a> = b;", "without a dot"),
        ("#JSGF V1.0;\ngrammar g;\nimport <a>;", "names no grammar"),
    ],
)
def test_a_broken_grammar_is_refused(text: str, part: str) -> None:
    with pytest.raises(GrammarError) as caught:
        read_grammar(text, "g.jsgf")
    assert part in caught.value.message
    assert caught.value.file == "g.jsgf"


def test_a_file_is_read_in_the_encoding_of_its_header(tmp_path: Path) -> None:
    path = tmp_path / "g.jsgf"
    path.write_bytes("#JSGF V1.0 ISO8859-15 fr;\ngrammar g;\n<a> = gelée;\n".encode("iso8859-15"))
    assert read_grammar_file(path).rules[0].body == Token("gelée")
    path.write_bytes("\ufeff#JSGF V1.0;\ngrammar g;\n<a> = gelée;\n".encode())
    assert read_grammar_file(path).rules[0].body == Token("gelée")


@pytest.mark.parametrize(
    ("content", "part"),
    [
        (b"#JSGF V1.0;\ngrammar g;\n<a> = gel\xe9e;\n", "'utf-8'"),
        (b"#JSGF V1.0 no-such en;\ngrammar g;\n", "'no-such'"),
    ],
)
def test_a_file_in_another_encoding_is_refused(tmp_path: Path, content: bytes, part: str) -> None:
    (tmp_path / "g.jsgf").write_bytes(content)
    with pytest.raises(GrammarError, match=part):
        read_grammar_file(tmp_path / "g.jsgf")


def test_a_file_that_is_not_there_is_a_grammar_error(tmp_path: Path) -> None:
    with pytest.raises(GrammarError, match="cannot be read"):
        read_grammar_file(tmp_path / "none.jsgf")
