"""Every mistake in a file is one message that names file, line, column and field."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from pydantic import BaseModel

from handsfree.checklist.examples import EXAMPLES
from handsfree.checklist.loading import MOST_TOLD, load, read
from handsfree.checklist.marked_yaml import read_marked
from handsfree.checklist.models import (
    Aircraft,
    Checklist,
    Condition,
    Count,
    Hold,
    Item,
    Pass,
    Place,
    Quantity,
    Registration,
    State,
    Zone,
)
from handsfree.checklist.problems import ChecklistError, Problem
from tests.faults.special_files import put

SMALL = Path(__file__).parents[1] / "data/small.yaml"


def problems(path: Path) -> tuple[Problem, ...]:
    with pytest.raises(ChecklistError) as caught:
        load(path)
    return caught.value.problems


def broken(tmp_path: Path, old: str, new: str) -> Problem:
    """The only problem of the small checklist with its first ``old`` replaced."""
    text = SMALL.read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "broken.yaml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    (found,) = problems(path)
    assert found.file == str(path)
    return found


def test_a_good_file_loads_with_everything_in_order() -> None:
    checklist = load(SMALL)
    assert [zone.id for zone in checklist.zones] == ["nose", "left-wing", "tail"]
    assert {item.kind for item in checklist.items()} == {"condition", "indicator", "quantity", "count", "hold", "undo"}
    assert checklist.item("pitot-covers").passes[1].say == "covers off"  # a plain string is a pass


@pytest.mark.parametrize(
    ("old", "new", "wanted"),
    [
        (
            'ata: "34"',
            "ata: 08",
            ("zones[nose].items[pitot-covers].ata", "this must be text, not 08", 'put it in quotes: "08"'),
        ),
        (
            'ata: "34"',
            'ata: "34-11"',
            (
                "zones[nose].items[pitot-covers].ata",
                "'34-11' is not an ATA chapter: two digits in quotes, such as \"32\"",
                "",
            ),
        ),
        (
            "caution: Stay",
            "cauton: Stay",
            ("zones[nose].items[nose-gear].cauton", "there is no field 'cauton' here", "did you mean 'caution'?"),
        ),
        (
            "pass:",
            "passes:",
            ("zones[nose].items[pitot-covers].passes", "there is no field 'passes' here", "did you mean 'pass'?"),
        ),
        (
            "id: night",
            "id: Night",
            ("conditions[Night].id", "'Night' is not lower-case words joined by hyphens, such as 'nose-tyres'", ""),
        ),
        (
            "parts:",
            "parts:\n          Bad Key: x",
            (
                "zones[nose].items[nose-gear].parts.Bad Key",
                "'Bad Key' is not lower-case words joined by hyphens, such as 'nose-tyres'",
                "",
            ),
        ),
        (
            "<findings.cut>",
            "cut",
            (
                "zones[nose].items[nose-gear].findings[0].use",
                "'cut' is not one rule of a grammar, such as '<findings.cut>'",
                "write <findings.cut>",
            ),
        ),
        (
            "spoken: [nose]",
            "spoken: nose",
            (
                "zones[nose].spoken",
                "this must be a list, not the text 'nose'",
                "write [nose], or one a line with '- ' before each",
            ),
        ),
        (
            "low: 175",
            'low: "175"',
            ("zones[left-wing].items[tyre-pressure].quantity.low", "this must be a number, not the text '175'", ""),
        ),
        (
            "required: true",
            "required: yes",
            (
                "zones[tail].items[fuel-caps].positions.required",
                "this must be true or false, not the text 'yes'",
                "write true",
            ),
        ),
        (
            "spoken: [nose]",
            'spoken: "[the] nose"',
            (
                "zones[nose].spoken",
                "this must be a list, not the text '[the] nose'",
                "write [\"[the] nose\"], or one a line with '- ' before each",
            ),
        ),
        (
            "severity: critical",
            "severity: crit",
            (
                "zones[nose].items[pitot-covers].findings[cover-on].severity",
                '"crit" is not one of: critical, major, minor',
                "did you mean 'critical'?",
            ),
        ),
        (
            "      - id: nose-gear\n        name: nose gear",
            "      - id: nose-gear",
            ("zones[nose].items[nose-gear].name", "the field 'name' is missing here", "such as  name: nose tyres"),
        ),
        (
            "format: 1",
            "format: 2",
            ("format", "this file is of format 2, and this program reads up to 1", "update the program"),
        ),
        (
            "- Brakes may be hot.",
            "- Brakes: may be hot.",
            ("cautions[1]", "this must be text, not a group of fields", "a text with a colon in it must be in quotes"),
        ),
        (
            "<findings.cut>",
            "<flat-spot>",
            (
                "zones[nose].items[nose-gear].findings[0].use",
                "'<flat-spot>' is not one rule of a grammar, such as '<findings.cut>'",
                "write <findings.flat_spot>",
            ),
        ),
        (
            "- use: <findings.worn>",
            "- worn",
            (
                "zones[nose].items[nose-gear].findings[1]",
                "this must be a group of fields, not the text 'worn'",
                "write {use: <findings.worn>}, or in own words {id: worn, say: [worn]}",
            ),
        ),
        (
            '        ata: "34"\n',
            "",
            (
                "zones[nose].items[pitot-covers].ata",
                "the field 'ata' is missing here",
                'such as  ata: "32"  # two digits in quotes: landing gear',
            ),
        ),
        (
            "conditions:\n  - id: night",
            "conditions:\n    id: night",
            (
                "conditions",
                "this must be a list, not a group of fields",
                'such as  conditions: [{id: night, ask: "Is it dark?"}]',
            ),
        ),
        (
            "conditions:",
            "leaves_out: [amc-fluids]\nconditions:",
            (
                "leaves_out",
                "this must be a group of fields, not a list",
                "such as  leaves_out: {amc-fluids: why}",
            ),
        ),
        (
            "        kind: quantity\n",
            "",
            (
                "zones[left-wing].items[tyre-pressure].quantity",
                "there is a field 'quantity', and no kind is written",
                "write 'kind: quantity'",
            ),
        ),
        (
            "        kind: undo\n",
            "",
            (
                "zones[tail].items[pressure-off].undoes",
                "there is a field 'undoes', and no kind is written",
                "write 'kind: undo'",
            ),
        ),
        (
            "kind: quantity",
            "kind: indicator",
            (
                "zones[left-wing].items[tyre-pressure].kind",
                "kind 'indicator' and field 'quantity' do not go together",
                "write 'kind: quantity'",
            ),
        ),
        (
            "needs: hydraulics",
            "needs: hydraulic",
            (
                "zones[left-wing].items[brake-pins].needs",
                "'needs' names the hold 'hydraulic', which no item has",
                "did you mean 'hydraulics'?",
            ),
        ),
        (
            "needs: hydraulics",
            "needs: pressure-on",
            (
                "zones[left-wing].items[brake-pins].needs",
                "'needs' names the hold 'pressure-on', which no item has",
                "write 'hydraulics': the id under 'hold', not that of its item",
            ),
        ),
        (
            "only_if: night",
            "only_if: fog",
            (
                "zones[nose].items[taxi-light].only_if",
                "'only_if' names the condition 'fog', which is not asked",
                "the conditions here: night",
            ),
        ),
        (
            "title: Small test aircraft, walk round before flight",
            "title:",
            (
                "title",
                "this must be text, not nothing",
                "such as  title: Exterior inspection before flight",
            ),
        ),
    ],
)
def test_a_wrong_field_is_named_with_what_it_should_be(
    tmp_path: Path, old: str, new: str, wanted: tuple[str, str, str]
) -> None:
    found = broken(tmp_path, old, new)
    assert (found.field, found.message, found.hint) == wanted


@pytest.mark.parametrize(
    ("pattern", "message"),
    [
        ("'Q7[A-Z'", "'Q7[A-Z' is not a regular expression: unterminated character set at position 2"),
        ("'Q{99999999999}'", "is not a regular expression: the repetition number is too large"),
        ("Q8[A-Z]{3}", "the pattern 'Q8[A-Z]{3}' does not match the example 'Q7KTA'"),
        ("Q7[A-Z]{2}", "does not match the example"),
        (f"Q7[{'KTA' * 30}]{{3}}", "the pattern has 97 characters; 60 are enough"),
        ("'(([A-Z0-9])+)+'", "leaves too much open: say how many characters, '[A-Z]{3}' and not '[A-Z]+'"),
        ("'[A-Z0-9]*'", "leaves too much open"),
        ("'Q7[A-Z]{3,}'", "leaves too much open"),
        ("'Q7([A-Z]{0,3}){1,3}'", "leaves too much open"),
        (f"'{'[A-Z]?' * 9}Q?7?'", "leaves too much open"),
    ],
)
def test_a_pattern_of_registrations_that_cannot_be_used(tmp_path: Path, pattern: str, message: str) -> None:
    found = broken(tmp_path, "pattern: Q7[A-Z]{3}", f"pattern: {pattern}")
    assert message in found.message
    field = "example" if "the example" in message else "pattern"
    assert (found.field, found.line) == (f"aircraft.registration.{field}", 10 + (field == "example"))


@pytest.mark.parametrize(
    "pattern", ["Q7[A-Z]{3}", "Q7KTA|Q8[A-Z]{4}", "'Q[1-9](\\d{0,4}|\\d{0,3}[A-Z]|\\d{0,2}[A-Z]{2,3})'", "Q7KT(A|B)?"]
)
def test_a_pattern_of_registrations_may_have_choices(tmp_path: Path, pattern: str) -> None:
    path = tmp_path / "good.yaml"
    path.write_text(SMALL.read_text(encoding="utf-8").replace("Q7[A-Z]{3}", pattern, 1), encoding="utf-8")
    assert load(path).aircraft.registration.pattern == pattern.strip("'")


@pytest.mark.parametrize("example", ["Q7-KTA", "q7kta", "Q7KTAKTAKTA", "''"])
def test_an_example_of_a_registration_that_nobody_could_spell(tmp_path: Path, example: str) -> None:
    found = broken(tmp_path, "example: Q7KTA", f"example: {example}")
    assert found.message == f"'{example.strip(chr(39))}' is not 1 to 10 capital letters and digits without hyphen"


@pytest.mark.parametrize(
    ("old", "new", "line", "column"),
    [
        ('ata: "34"', "ata: 08", 45, 9),
        ("low: 175", "low: x", 152, 11),
        ("covers: [tyres]", "covers: [tires]", 57, 13),
        ("needs: hydraulics", "needs: hydraulic", 127, 9),
        ("zones: [left-wing, tail]", "zones: [left-wing, tale]", 21, 24),
    ],
)
def test_line_and_column_are_those_of_the_file(tmp_path: Path, old: str, new: str, line: int, column: int) -> None:
    found = broken(tmp_path, old, new)
    assert (found.line, found.column) == (line, column)
    written = Path(found.file).read_text(encoding="utf-8").splitlines()[line - 1]
    assert new.partition(":")[0] in written


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("id: nose-gear", "id: pitot-covers", "the item id 'pitot-covers' is used twice"),
        ("id: left-side", "id: tail", "the zone or place id 'tail' is used twice"),
        ("kind: quantity", "kind: condition", "kind 'condition' and field 'quantity' do not go together"),
        ("covers: [tyres]", "covers: [tires]", "'covers' names the part 'tires', which 'parts' does not have"),
        ("needs: hydraulics", "needs: steam", "'needs' names the hold 'steam', which no item has"),
        ("undoes: hydraulics", "undoes: steam", "'undoes' names the hold 'steam', which no item has"),
        ("only_if: night", "only_if: fog", "'only_if' names the condition 'fog', which is not asked"),
        ("zones: [left-wing, tail]", "zones: [fin]", "there is no zone 'fin'"),
        ("good: false", "good: true", "an indicator declares at least one good and one bad state"),
        ("- use: <findings.cut>", "- {use: <findings.cut>, id: x}",
         "a finding has either 'use: <grammar.rule>' or both 'id' and 'say'"),
    ],
)  # fmt: skip
def test_fields_that_do_not_go_together(tmp_path: Path, old: str, new: str, message: str) -> None:
    path = tmp_path / "broken.yaml"
    path.write_text(SMALL.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
    assert message in [problem.message for problem in problems(path)]


def test_every_field_that_must_be_there_has_an_example_that_is_yaml() -> None:
    def required(model: type[BaseModel]) -> Iterator[str]:
        for name, field in model.model_fields.items():
            if field.is_required():
                yield f"{model.__name__}.{field.alias or name}"

    models = (Checklist, Aircraft, Registration, Condition, Place, Zone, Item, Pass, State, Quantity, Count, Hold)
    assert {name for model in models for name in required(model)} <= EXAMPLES.keys()
    for name, example in EXAMPLES.items():
        node = read_marked(example)
        assert node is not None, name
        assert list(node.fields or ()) == [name.partition(".")[2]], name


def test_all_mistakes_are_told_at_once_in_the_order_of_the_file(tmp_path: Path) -> None:
    text = SMALL.read_text(encoding="utf-8").replace('ata: "34"', "ata: 34").replace("low: 175", "low: x")
    path = tmp_path / "broken.yaml"
    path.write_text(text, encoding="utf-8")
    assert [problem.field.rpartition(".")[2] for problem in problems(path)] == ["ata", "low", "ata"]


def test_problems_come_by_their_level_and_then_by_their_line(tmp_path: Path) -> None:
    """A field that is missing has the line of its item, which others have been told before."""
    text = SMALL.read_text(encoding="utf-8").replace("zones: [left-wing, tail]", "zones: [fin]")
    path = tmp_path / "broken.yaml"
    path.write_text(text.replace("needs: hydraulics", "needs: steam").replace("id: tail", "id: nose"), encoding="utf-8")
    lines = [one.line for one in problems(path)]
    assert len(lines) > 3
    assert lines == sorted(lines)
    later = [Problem("doubt", ("id",), level="warning"), Problem("error", ("zones", 2, "id"))]
    assert [one.message for one in read(SMALL).placed(later)] == ["error", "doubt"]


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "the file is empty"),
        (b"# only a comment\n", "the file is empty"),
        (b"- a\n- b\n", "this is no checklist: it must begin with fields such as 'format: 1'"),
        (b"title: Stra\xdfe\n", "the file is not UTF-8 text"),
        (b"x: " + b"a" * 500_000, "the file is larger than 500 kB: no checklist is"),
    ],
)
def test_files_that_are_no_checklist(tmp_path: Path, content: bytes, message: str) -> None:
    path = tmp_path / "odd.yaml"
    path.write_bytes(content)
    (found,) = problems(path)
    assert (found.file, found.message) == (str(path), message)


def test_bytes_that_are_no_text_are_pointed_at(tmp_path: Path) -> None:
    path = tmp_path / "latin.yaml"
    path.write_bytes(b"format: 1\ntitle: Stra\xdfe\n")
    (found,) = problems(path)
    assert (found.line, found.column) == (2, 12)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    assert problems(tmp_path / "none.yaml")[0].message == "there is no such file"
    assert problems(tmp_path)[0].message == "this is a folder, not a checklist"


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "marked.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.read_bytes())
    assert load(path) == load(SMALL)


def test_problems_found_later_get_the_lines_of_the_file() -> None:
    source = read(SMALL)
    later = [
        Problem("later", ("zones", 1, "items", 3, "quantity")),
        Problem("earlier", ("zones", 0, "items", 0, "ata")),
    ]
    assert [(problem.message, problem.line) for problem in source.placed(later)] == [("earlier", 45), ("later", 148)]


def test_a_problem_reads_as_one_line() -> None:
    problem = Problem(
        "no", ("a", "b"), field="a.b", hint="yes", code="x", level="warning", file="f.yaml", line=3, column=7
    )
    assert str(problem) == "f.yaml:3:7: warning [x]: a.b: no (yes)"


@pytest.mark.parametrize("kind", ["a pipe", "an endless device"])
def test_what_never_ends_is_not_read(tmp_path: Path, kind: str) -> None:
    (found,) = problems(put(tmp_path / "odd.yaml", kind))
    assert found.message == "this is not a file"


def test_so_many_problems_are_told_and_the_rest_counted(tmp_path: Path) -> None:
    path = tmp_path / "odd.yaml"
    path.write_text("".join(f"k{number}: 1\n" for number in range(1000)), encoding="utf-8")
    found = problems(path)
    assert len(found) == MOST_TOLD + 1
    assert found[-1].message == f"and {1000 + 7 - MOST_TOLD} more problems"  # 7 fields are missing


def test_a_problem_with_a_long_text_is_short(tmp_path: Path) -> None:
    path = tmp_path / "odd.yaml"
    long = "a" * 4000
    path.write_text(f"format: {long}\n{long}: 1\nzones: [{{id: {long}, x: 1}}]\n", encoding="utf-8")
    for problem in problems(path):
        assert len(str(problem)) < 1200 + len(str(path))
