"""Grammars together: references, imports, what is refused."""

from pathlib import Path

import pytest

from handsfree.language.errors import GrammarError
from handsfree.language.grammars import Grammars
from handsfree.language.jsgf_reader import read_grammar
from handsfree.language.spelling import Lexicon


def grammars(*bodies: str) -> Grammars:
    """Grammars a, b, ... with these bodies."""
    return Grammars(
        read_grammar(f"#JSGF V1.0;\ngrammar {name};\n{body}", f"{name}.jsgf")
        for name, body in zip("abcdefgh", bodies, strict=False)
    )


def sayable(made: Grammars, text: str) -> list[str]:
    return [path.written for path in made.expansion(text).paths()]


def test_a_phrase_refers_to_public_rules_by_qualified_name() -> None:
    made = grammars("public <x> = one | <y>;\n<y> = two;")
    assert sayable(made, "say <a.x>") == ["say one", "say two"]


def test_a_local_rule_comes_before_an_imported_one() -> None:
    made = grammars("import <b.x>;\n<x> = here;\npublic <r> = <x>;", "public <x> = there;")
    assert sayable(made, "<a.r>") == ["here"]


def test_imports_bring_one_rule_or_all_public_ones() -> None:
    made = grammars(
        "import <b.x>;\nimport <c.*>;\npublic <r> = <x> <y> <b.x>;",
        "public <x> = bee;",
        "public <y> = sea;\n<x> = hidden;",
    )
    assert sayable(made, "<a.r>") == ["bee sea bee"]


def test_a_grammar_in_a_package_has_a_short_and_a_full_name() -> None:
    inner = read_grammar("#JSGF V1.0;\ngrammar com.example.inner;\npublic <x> = deep;", "inner.jsgf")
    made = Grammars([inner])
    assert sayable(made, "<inner.x> | <com.example.inner.x>") == ["deep", "deep"]


def test_slots_come_from_tags_along_the_way() -> None:
    made = grammars("public <x> = (cut {finding=cut} | nick {finding=nick}) [on the left {side=left}];")
    assert [(path.written, path.slots) for path in made.expansion("<a.x>").paths()] == [
        ("cut", (("finding", "cut"),)),
        ("cut on the left", (("finding", "cut"), ("side", "left"))),
        ("nick", (("finding", "nick"),)),
        ("nick on the left", (("finding", "nick"), ("side", "left"))),
    ]


@pytest.mark.parametrize(
    ("bodies", "place", "part"),
    [
        (["<x> = <y>;"], "a.jsgf:3:7", "no rule <y>"),
        (["<x> = <b.y>;"], "a.jsgf:3:7", "no grammar 'b'"),
        (["<x> = <b.y>;", "<z> = a;"], "a.jsgf:3:7", "no rule <y>"),
        (["<x> = <b.y>;", "<y> = a;"], "a.jsgf:3:7", "not public"),
        (["import <b.y>;", "<y> = a;"], "a.jsgf:3:8", "not public"),
        (["import <b.y>;"], "a.jsgf:3:8", "no grammar 'b'"),
        (["import <b.y>;", "<z> = a;"], "a.jsgf:3:8", "no rule <y>"),
        (["<x> = a;\n<x> = b;"], "a.jsgf:4:1", "twice"),
        (["<x> = <x>;"], "a.jsgf:3:7", "<a.x> → <a.x>"),
        (["<x> = go [<x>];"], "a.jsgf:3:11", "contain itself"),
        (["<x> = a <y>;\n<y> = b | c <x>;"], "a.jsgf:4:13", "<a.x> → <a.y> → <a.x>"),
        (["public <x> = <b.y>;", "public <y> = <a.x>;"], "b.jsgf:3:14", "<a.x> → <b.y> → <a.x>"),
        (["import <b.*>;\nimport <c.*>;\n<x> = <y>;", "public <y> = a;", "public <y> = b;"], "a.jsgf:5:7", "b and c"),
        (['<x> = "...";'], "a.jsgf:3:1", "no word"),
    ],
)
def test_a_mistake_is_refused_at_its_place(bodies: list[str], place: str, part: str) -> None:
    with pytest.raises(GrammarError) as caught:
        grammars(*bodies)
    assert str(caught.value).startswith(place)
    assert part in caught.value.message


def test_two_grammars_of_one_name_are_refused() -> None:
    file = read_grammar("#JSGF V1.0;\ngrammar g;", "g.jsgf")
    with pytest.raises(GrammarError, match="taken by g"):
        Grammars([file, file])


def test_a_phrase_cannot_use_a_simple_name() -> None:
    with pytest.raises(GrammarError, match=r"phrase:1:5.*<grammar\.x>"):
        grammars("public <x> = a;").expansion("say <x>")


def test_a_pattern_with_too_many_phrases_is_refused_by_the_name_of_its_rule() -> None:
    doubling = "".join(f"<r{level}> = <r{level - 1}> <r{level - 1}>;\n" for level in range(1, 11))
    made = grammars(f"<r0> = a | b;\n{doubling}public <top> = <r10>;\npublic <small> = <r2>;")
    with pytest.raises(GrammarError, match=r"a\.jsgf:7:1: <a\.r4>: 65536 ways to say it"):
        made.expansion("<a.top>").paths()
    assert len(made.expansion("<a.small>").paths()) == 16


def test_a_pattern_that_is_too_large_to_compile_is_refused_at_once() -> None:
    chains = [f"<r0> = {' '.join('a' * 200)};"]
    chains += [f"<r{level}> = {f'<r{level - 1}> ' * 20};" for level in range(1, 8)]
    made = grammars("\n".join([*chains, "public <top> = <r7>;"]))
    with pytest.raises(GrammarError, match=r"<a\.r3>: \d+ parts when written out"):
        made.expansion("<a.top>").accepts("a")


def test_rules_and_brackets_may_be_nested_to_the_limit_of_both() -> None:
    def nested(inside: str) -> str:
        return "[a " * 14 + inside + "]" * 14

    rules = "\n".join(f"<r{level}> = {nested(f'<r{level - 1}>')};" for level in range(1, 12))
    made = grammars(f"<r0> = z;\n{rules}\npublic <top> = <r11>;")
    assert made.expansion("<a.top>").accepts(" ".join(["a"] * 14 * 11 + ["z"]))
    too_deep = "\n".join(f"<r{level}> = <r{level + 1}>;" for level in range(20))
    with pytest.raises(GrammarError, match="nested more than"):
        grammars(too_deep + "<r20> = a;")


def test_a_folder_is_loaded_with_its_lexicon(tmp_path: Path) -> None:
    (tmp_path / "g.jsgf").write_text("#JSGF V1.0;\ngrammar g;\npublic <x> = nacelle dry;")
    (tmp_path / "lexicon.yaml").write_text("# words\nnacelle: na sell  # sounds alike\n")
    made = Grammars.load(tmp_path)
    assert made.public_rules() == ("g.x",)
    (path,) = made.expansion("<g.x>").paths()
    assert (path.written, path.heard) == ("nacelle dry", "na sell dry")


def test_a_folder_without_grammars_is_refused(tmp_path: Path) -> None:
    with pytest.raises(GrammarError, match=r"no \.jsgf file"):
        Grammars.load(tmp_path)


@pytest.mark.parametrize(
    ("text", "line", "part"),
    [
        (b"nacelle", 1, "is not 'written: known words'"),
        (b"nacelle: a\nnacelle: b", 2, "twice"),
        (b"# words\nnacelle: na-sell", 2, "final spelling"),
        (b"nacelle: tyre", 1, "final spelling"),
        (b"nacelle: \xe9", 1, "cannot be read"),
    ],
)
def test_a_broken_lexicon_is_refused(tmp_path: Path, text: bytes, line: int, part: str) -> None:
    path = tmp_path / "lexicon.yaml"
    path.write_bytes(text)
    with pytest.raises(GrammarError, match=part) as caught:
        Lexicon.load(path)
    assert caught.value.line == line
