"""What is spoken: every kind of answer, spread over the checklist, and what it means there."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from handsfree.bench.tasks import SHARES, Task, choose, vocabulary_at
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.language.meaning import overall_outcome
from handsfree.resources import find_checklist


@pytest.fixture(scope="module")
def book() -> Book:
    return Book(load(find_checklist("twin-turboprop")))


@pytest.fixture(scope="module")
def tasks(book: Book) -> tuple[Task, ...]:
    return choose(book, 1000, seed=3)


def test_the_kinds_have_their_shares(tasks: tuple[Task, ...]) -> None:
    counted = Counter(task.kind for task in tasks)
    # "checked" is a control word that passes some items: such a one counts as a pass
    assert counted["control"] + counted["pass"] == pytest.approx(1000 * (SHARES["control"] + SHARES["pass"]), abs=1)
    for kind in ("finding", "number", "two clauses"):
        assert counted[kind] == pytest.approx(1000 * SHARES[kind], abs=1)


def test_a_few_are_as_many_as_asked_for_defects_first(book: Book) -> None:
    assert [task.kind for task in choose(book, 1, seed=1)] == ["finding"]
    assert {task.kind for task in choose(book, 12, seed=1)} == SHARES.keys()
    assert all(len(choose(book, count, seed=1)) == count for count in (2, 3, 7, 48))


def test_they_are_spread_over_items_and_findings(book: Book, tasks: tuple[Task, ...]) -> None:
    """Over 300 findings of 80 items, and an everyday defect of each: none comes twice before all came once."""
    everyday = {
        (item.id, phrase.text)
        for item in book.checklist.items()
        for phrase in {*book.phrasebook.general_phrases(item)} - {*book.phrasebook.own_phrases(item)}
    }
    findings = Counter(
        (task.item, "everyday" if (task.item, task.words) in everyday else task.wanted[0].get("finding"))
        for task in tasks
        if task.kind == "finding"
    )
    known = {
        (item.id, phrase.meaning.get("finding"))
        for item in book.checklist.items()
        for phrase in book.phrasebook.own_phrases(item)
        if phrase.meaning.outcome == "finding"
    }
    known |= {(item, "everyday") for item, _ in everyday}
    assert len(known) > 380
    assert findings.keys() == known
    assert max(findings.values()) - min(findings.values()) == 1


def test_the_same_seed_gives_the_same_answers(book: Book) -> None:
    assert choose(book, 50, seed=7) == choose(book, 50, seed=7)
    assert choose(book, 50, seed=7) != choose(book, 50, seed=8)


def test_what_is_wanted_is_what_the_words_mean_on_a_walk(book: Book, tasks: tuple[Task, ...]) -> None:
    for task in tasks[::9]:
        parse = vocabulary_at(book, task.item).parse(task.words)
        # "Right hand tyre too low" is also "tyre two, low": a walk asks, and the answer counts as asked about.
        assert set(task.wanted) in [set(reading) for reading in (parse.clauses, *parse.others)], task


def test_the_second_of_two_clauses_is_a_defect(tasks: tuple[Task, ...]) -> None:
    """So that to stop after the first would be a false pass."""
    both = [task.wanted for task in tasks if task.kind == "two clauses"]
    assert all(overall_outcome(wanted) == "finding" and wanted[-1].outcome == "finding" for wanted in both)
    assert {wanted[0].outcome for wanted in both} == {"pass", "finding"}


def test_a_small_checklist_will_do() -> None:
    small = Book(load(Path(__file__).parents[1] / "data" / "three-items.yaml"))
    assert {task.item for task in choose(small, 40, seed=1)} == {item.id for item in small.checklist.items()}
