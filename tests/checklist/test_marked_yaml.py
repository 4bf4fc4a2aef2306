"""YAML that is plain, bounded and remembers its lines."""

import pytest

from handsfree.checklist.marked_yaml import MOST_DEPTH, MOST_NODES, MOST_OF_A_TEXT, MarkedYamlError, read_marked


def plain(text: str) -> object:
    root = read_marked(text)
    return root.plain() if root else None


def fault(text: str) -> MarkedYamlError:
    with pytest.raises(MarkedYamlError) as caught:
        read_marked(text)
    return caught.value


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("12", 12),
        ("-3", -3),
        ("08", 8),
        ("1.5", 1.5),
        (".5", 0.5),
        ("1e3", 1000.0),
        ("true", True),
        ("~", None),
        ("", None),
        ("no", "no"),  # YAML 1.2: only true and false are
        ("on", "on"),
        ("12 psi", "12 psi"),
        ("2026-11-25", "2026-11-25"),
        ("0x1F", "0x1F"),
        (".inf", ".inf"),
        ("9" * 40, "9" * 40),
        ('"08"', "08"),
        ("'true'", "true"),
        ("!!str 8", "8"),
        ("[a, {b: c}]", ["a", {"b": "c"}]),
    ],
)
def test_plain_values(written: str, value: object) -> None:
    assert plain(f"x: {written}\n") == {"x": value}


def test_keys_are_text() -> None:
    assert plain("08: a\ntrue: b\n") == {"08": "a", "true": "b"}


def test_an_alias_stands_for_what_its_anchor_names() -> None:
    assert plain("a: &one [1, 2]\nb: *one\n") == {"a": [1, 2], "b": [1, 2]}


def test_a_place_is_that_of_the_key_or_the_list_entry_or_the_nearest_parent() -> None:
    root = read_marked("a:\n  - b: 1\n    c: 2\n  - d\n")
    assert root is not None
    assert root.place(("a", 0, "c")) == (3, 5)
    assert root.place(("a", 1)) == (4, 5)
    assert root.place(("a", 0, "missing")) == (2, 5)
    assert root.place(()) == (1, 1)


@pytest.mark.parametrize(
    ("text", "message", "line", "column"),
    [
        ("a:\n\tb: 1\n", "a tab is used to indent; YAML allows only spaces", 2, 1),
        ("a: 1\nb: 2\na: 3\n", "'a' is written twice here (first on line 1)", 3, 1),
        ("a: *b\n", "'*b' refers to an anchor that is not there", 1, 4),
        ("a: &b [*b]\n", "'*b' refers to itself", 1, 8),
        ("a: !!set {x}\n", "the tag 'tag:yaml.org,2002:set' is not taken here; plain values only", 1, 4),
        ("a: !mine {}\n", "the tag '!mine' is not taken here; plain values only", 1, 4),
        ("a: 1\n---\nb: 2\n", "a second document begins here; a checklist is one", 2, 1),
        ("? [a]\n: b\n", "a list or a mapping cannot be the name of a field", 1, 3),
        ("a: b\nc: \x07\n", "the character U+0007 cannot stand in YAML", 2, 4),
    ],
)  # fmt: skip
def test_faults_are_named_with_their_place(text: str, message: str, line: int, column: int) -> None:
    error = fault(text)
    assert (error.message, error.line, error.column) == (message, line, column)


@pytest.mark.parametrize("text", ['a: "open\n', "a: [1\n", "a: b: c\n", "a: 1\n b: 2\n", "a: @x\n", "%YAML 9\n"])
def test_what_is_not_yaml_is_said_to_be_so(text: str) -> None:
    assert fault(text).message.startswith("this is not YAML: ")


@pytest.mark.parametrize(
    ("text", "line", "message", "hint"),
    [
        ("prompt: Mooring: lines.\n", 1, "a second colon stands here", 'in quotes, as prompt: "Mooring: lines."'),
        ("ask: salt: yes?\n", 1, "a second colon stands here", 'in quotes, as ask: "salt: yes?"'),
        (
            'a: 1\npass: ["edges smooth]\nb: 2\nc: ["d"]\n',
            2,
            "the list or group that begins",
            "is a quote,",
        ),
        ('a: "b\nc: d\n', 1, "the quote that begins here", "one at the end of the text"),
        ("a:\n  - b: 1\n   - c: 2\n", 3, "the indent of this line fits neither", "begin in the same column"),
        ("a:\n  - b: 1\n    c: 1\n   d: 2\n", 4, "the indent of this line fits neither", "begin in the same column"),
        ("a:\n  - b: 1\n    c: 1\n     d: 2\n", 4, "the indent of this line fits neither", "begin in the same column"),
    ],
)
def test_a_slip_of_the_hand_is_told_without_the_words_of_a_parser(
    text: str, line: int, message: str, hint: str
) -> None:
    error = fault(text)
    assert (error.line, error.message.startswith(f"this is not YAML: {message}")) == (line, True)
    assert hint in error.hint


def test_depth_is_bounded() -> None:
    assert "nested more than" in fault("[" * (MOST_DEPTH + 1)).message
    assert plain("[" * MOST_DEPTH + "]" * MOST_DEPTH) is not None


def test_a_bomb_of_aliases_is_stopped_while_it_is_small() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 12)]  # 10^12 values
    error = fault("\n".join(lines))
    assert error.message == f"this grows to more than {MOST_NODES} values"
    assert error.line == 5  # 10^5 values are reached on the fifth line


def test_an_empty_text_holds_no_document() -> None:
    assert read_marked("") is None
    assert read_marked("# nothing\n") is None


@pytest.mark.parametrize(
    "written", ['"\\e[2J"', '"\\x9b"', '"\\ud800"', '"a\\0"', "a\u202eb", "a\u200bb", "'\u2066'", "x\ufeffy"]
)
def test_what_cannot_be_seen_is_pointed_at(written: str) -> None:
    for text in (f"a: 1\nb: {written}\n", f"a: 1\n{written}: b\n"):
        error = fault(text)
        assert "cannot be seen" in error.message or "cannot stand in YAML" in error.message
        assert error.line == 2


def test_blanks_and_lines_of_a_text_are_kept() -> None:
    assert plain('"a\\tb\\n\\_c"') == "a\tb\n\xa0c"


def test_a_text_has_a_longest_length() -> None:
    assert plain("a" * MOST_OF_A_TEXT) == "a" * MOST_OF_A_TEXT
    error = fault(f"a: b\nc: {'a' * (MOST_OF_A_TEXT + 1)}\n")
    assert (error.message, error.line, error.column) == ("the text here has 5001 characters; 5000 are enough", 2, 4)
