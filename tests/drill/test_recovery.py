"""A score finds the ability that a trainee was given, and the right order of several trainees."""

from __future__ import annotations

import random
from functools import cache
from statistics import mean

import pytest

from handsfree.book import Book, course_of
from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist
from handsfree.drill.attempt import attempt_of
from handsfree.drill.composing import composed
from handsfree.drill.estimate import Estimate
from handsfree.drill.exercise import Exercise, Stock, load_stock
from handsfree.drill.order import kendall_tau
from handsfree.drill.score import Score, score
from handsfree.resources import find_checklist, find_stock
from handsfree.walk.machine import Walk
from tests.drill.trainees import Ability, Trainee
from tests.walk.conversation import kept

ATTEMPTS = 200
ABILITIES = (
    Ability(0.02, 0.01), Ability(0.1, 0.01), Ability(0.05, 0.05), Ability(0.2, 0.02), Ability(0.15, 0.08),
    Ability(0.3, 0.05), Ability(0.3, 0.15), Ability(0.45, 0.1), Ability(0.5, 0.2), Ability(0.6, 0.3),
)  # fmt: skip
"""From the best to the worst."""


@cache
def shipped() -> tuple[Checklist, Stock, Book]:
    checklist = load(find_checklist("twin-turboprop"))
    file = find_stock(checklist.id)
    assert file is not None
    return checklist, load_stock(file, checklist), kept(Book(checklist, course=course_of("scenes", None)))


def attempted(ability: Ability, seed: int) -> Score:
    checklist, stock, book = shipped()
    exercise = composed(checklist, stock, seed, 3)
    events = Trainee(prepared(book, exercise), exercise, ability, random.Random(seed)).go_through()
    return score(attempt_of(events, checklist, exercise), checklist)


def prepared(book: Book, exercise: Exercise) -> Book:
    """The same vocabularies for another exercise."""
    book.course = course_of("scenes", exercise)
    book.walk = Walk(book.checklist, book.listening.choices, book.course)
    return book


@cache
def d_primes() -> tuple[tuple[Ability, Estimate], ...]:
    """Of two hundred attempts, twenty by each, every one another exercise."""
    found: list[tuple[Ability, Estimate]] = []
    for seed in range(ATTEMPTS):
        ability = ABILITIES[seed % len(ABILITIES)]
        d_prime = attempted(ability, seed).detection.d_prime
        assert d_prime is not None
        found.append((ability, d_prime))
    return tuple(found)


@pytest.mark.slow
def test_the_ability_is_within_its_interval_in_nearly_all_attempts() -> None:
    within = sum(one.low <= ability.d_prime <= one.high for ability, one in d_primes())
    assert within / ATTEMPTS >= 0.93


@pytest.mark.slow
def test_ten_trainees_are_put_in_the_right_order() -> None:
    """By the mean of their attempts."""
    truly = [one.d_prime for one in ABILITIES]
    assert truly == sorted(truly, reverse=True)
    means = [mean(one.value for ability, one in d_primes() if ability == wanted) for wanted in ABILITIES]
    tau = kendall_tau(means, truly)
    assert tau is not None
    assert tau >= 0.9
