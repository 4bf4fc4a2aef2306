"""Every kind of problem that ``handsfree check`` can name: its number, what it is for, and where it comes from.

A number is never given to another kind.  ``python -m handsfree.checklist.lint.catalogue`` writes ``docs/rules.md``.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from handsfree.checklist.problems import ProblemLevel

_FILE: Final = Path(__file__).parents[3] / "docs" / "rules.md"
_CR: Final = "NASA CR-177549 (Degani and Wiener 1990), appendix A"
_DOC: Final = "ICAO Doc 9432"


@dataclass(frozen=True, slots=True)
class Rule:
    """One kind of problem."""

    number: str
    name: str
    level: ProblemLevel
    about: str
    source: str = "our own"
    mended: bool = False
    """Whether ``--fix`` can mend it."""


RULES: Final = (
    Rule("HF101", "file", "error", "the file can be read"),
    Rule("HF102", "yaml", "error", "the file is YAML", "YAML 1.2"),
    Rule(
        "HF103", "schema", "error", "fields have the names and shapes of the format", "JSON Schema 2020-12", mended=True
    ),
    Rule("HF104", "no-schema-line", "note", "the first line tells editors of the JSON Schema", mended=True),
    Rule("HF105", "translation", "error", "every text is in each language of the file"),
    Rule("HF106", "one-text-for-all", "warning", "what is heard or said is given by language"),
    Rule("HF201", "phrase", "error", "a phrase can be read and used", "W3C note on JSGF"),
    Rule("HF202", "ambiguous", "error", "the same words do not mean two things"),
    Rule("HF203", "finding-name", "error", "a rule of a grammar stands for one finding"),
    Rule("HF204", "unknown-word", "error", "the speech model knows the words"),
    Rule("HF205", "unknown-name", "warning", "it knows the names by which a trainee says where they are"),
    Rule("HF206", "good-inside-bad", "warning", "no finding holds the words of a pass"),
    Rule("HF207", "pass-shadows-defect", "warning", "no pass is said in the words of a defect"),
    Rule("HF208", "one-word-apart", "warning", "no pass is a finding with one small word changed"),
    Rule("HF209", "sounds-alike", "warning", "no pass sounds like a finding"),
    Rule("HF210", "two-places", "error", "the phrases of a finding name one place: the first is read back and logged"),
    Rule("HF301", "hold-too-late", "error", "a hold comes before what needs it"),
    Rule("HF302", "after-undo", "error", "what needs a hold comes before its end"),
    Rule("HF303", "hold-not-always", "error", "a hold is asked whenever it is needed"),
    Rule("HF304", "hold-not-undone", "warning", "what the cockpit switched on is switched off again"),
    Rule("HF305", "not-used", "warning", "a hold and a question at the start decide something"),
    Rule("HF306", "long-way", "note", "the way round, against the shortest one from the first zone to the last"),
    Rule("HF307", "crossing-way", "warning", "the way does not lead through the aircraft"),
    Rule("HF401", "part-not-covered", "error", "each part of an item can pass"),
    Rule("HF402", "part-not-alone", "warning", "each part of an item can pass by itself"),
    Rule("HF403", "only-checked", "warning", "an answer states what is seen, not just 'checked'", f"{_CR} (4)"),
    Rule("HF404", "long-prompt", "warning", "a short prompt has twelve words at most", f"{_DOC}: 100 words a minute"),
    Rule("HF405", "no-noun", "warning", "positions have a noun"),
    Rule("HF406", "slow-prompt", "warning", "a short prompt is spoken within 2.5 s"),
    Rule("HF407", "slow-full", "warning", "a full prompt is spoken within 20 s", f"{_DOC}: 100 words a minute"),
    Rule("HF408", "number-not-apart", "warning", "a pause stands before and behind a spoken number", _DOC),
    Rule("HF409", "long-zone", "warning", "a zone is a chunk that one keeps in mind", f"{_CR} (7); the number is ours"),
    Rule("HF410", "critical-late", "note", "what is critical comes early in its zone", f"{_CR} (10)"),
    Rule("HF501", "limit-not-sayable", "error", "limits and numbers can be spoken"),
    Rule("HF502", "limit-without-source", "error", "a limit has a source"),
    Rule("HF503", "no-room-beyond-limit", "warning", "what lies beyond a limit can be spoken"),
    Rule("HF504", "unit-not-sayable", "note", "the unit may be said behind a number"),
    Rule("HF601", "unknown-rule", "error", "an item is asked by a rule that is in the list of published rules"),
    Rule("HF602", "no-why", "note", "an item says why it matters"),
    Rule("HF603", "no-source", "note", "an item says where it comes from"),
    Rule("HF604", "rule-left-open", "note", "what published rules ask is answered, or left out with a reason"),
)  # fmt: skip
MENDED: Final = (
    "quotes round a number where text belongs (`ata: 32`)",
    "a list round one text without a comma (`pass: both fast`)",
    "small letters in one of the given words (`severity: Minor`)",
    "true and false for yes and no (`good: yes`)",
    "the first line that names the JSON Schema",
)
"""All that ``--fix`` does; none of it changes what passes an item."""
_BY_NAME: Final = {rule.name: rule for rule in RULES}

_BEYOND_RULES: Final = (
    "Not checked here, since the tool itself does it: the list ends with a completion call, and an interruption keeps "
    f"the place ({_CR}, 6 and 12)."
)


def rule_of(name: str) -> Rule:
    """By its name.  KeyError when there is none."""
    return _BY_NAME[name]


def as_markdown() -> str:
    """The table for the documents."""
    rows = [
        f"| {one.number} | `{one.name}` | {one.level}{', mended by `--fix`' if one.mended else ''} "
        f"| {one.about} | {one.source} |"
        for one in RULES
    ]
    return "\n".join(
        [
            "# What `handsfree check` looks at",
            "",
            "Written by `python -m handsfree.checklist.lint.catalogue`. Errors stop a checklist from being used; a",
            "warning is a doubt to be removed or explained, by `# accepted HF209: why` on its line or the line above;",
            "notes are shown with `--notes`.",
            "",
            "| number | name | level | what holds of a good checklist | source |",
            "| --- | --- | --- | --- | --- |",
            *rows,
            "",
            "What `--fix` mends in the file, and nothing else:",
            "",
            *(f"- {one}" for one in MENDED),
            "",
            _BEYOND_RULES,
            "",
        ]
    )


def main() -> None:
    """Write the table anew."""
    if not _FILE.parents[1].joinpath("checklists").is_dir():
        sys.exit("This is not a source tree.")
    _FILE.parent.mkdir(exist_ok=True)
    _FILE.write_text(as_markdown(), encoding="utf-8")


if __name__ == "__main__":
    main()
