"""Files, sounds and readings that are broken at random, counted: the tests of test_fuzz.py, as often as one likes."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from tests.faults import test_fuzz
from tests.faults.figures import Row

TESTS: tuple[Any, ...] = (
    test_fuzz.test_a_broken_checklist_is_a_checklist_or_a_list_of_problems,
    test_fuzz.test_a_broken_grammar_is_a_grammar_or_an_error_with_its_place,
    test_fuzz.test_a_broken_log_is_a_log_or_an_error,
    test_fuzz.test_whatever_the_sound_nothing_passes_that_was_not_read,
    test_fuzz.test_whatever_was_read_a_pass_was_strictly_parsed_in_each_decode,
)


def fuzz() -> Row:
    """As many of each as HANDSFREE_FUZZ says; the least example of what went wrong is its problem."""
    row = Row("checklists, grammars, logs, sounds and readings are nonsense")
    for test in TESTS:
        tried, problem = _run(test)
        for one in range(tried):
            row.count(problem=problem if one == 0 else "")
    row.figure = "broken at random by Hypothesis"
    return row


def _run(test: Any) -> tuple[int, str]:
    tried = 0
    inner: Callable[..., None] = test.hypothesis.inner_test

    @wraps(inner)
    def counted(*args: Any, **named: Any) -> None:
        nonlocal tried
        tried += 1
        inner(*args, **named)

    test.hypothesis.inner_test = counted
    try:
        test()
    except Exception as error:  # noqa: BLE001 - whatever it is, it is to be shown
        notes = "; ".join(getattr(error, "__notes__", ()))
        return max(tried, 1), f"{inner.__name__}: {error!r}; {notes}"
    finally:
        test.hypothesis.inner_test = inner
    return tried, ""
