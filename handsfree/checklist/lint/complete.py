"""What an item says besides its question: why, on whose word, and by which published rule."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches

from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.problems import Problem
from handsfree.checklist.rules import chapter_key, published_rules


def unknown_rules(subject: Subject) -> Iterator[Problem]:
    """Error ``unknown-rule``."""
    published = published_rules()
    rules = [one.id for one in published.rules]
    for where, item in subject.items:
        for at, name in enumerate(item.asked_by):
            if name not in rules:
                yield _unknown(
                    f"item '{item.id}': there is no published rule '{name}'", name, rules, (*where, "asked_by", at)
                )
    keys = [*rules, *map(chapter_key, published.chapters)]
    for name in subject.checklist.leaves_out:
        if name not in keys:
            yield _unknown(f"there is no published rule or chapter '{name}'", name, keys, ("leaves_out", name))


def _unknown(message: str, name: str, known: list[str], where: tuple[str | int, ...]) -> Problem:
    near = get_close_matches(name, known, n=1)
    hint = f"did you mean '{near[0]}'?" if near else "handsfree check --rules lists them"
    return Problem(message, where, code="unknown-rule", hint=hint)


def incomplete_items(subject: Subject) -> Iterator[Problem]:
    """Notes ``no-why`` and ``no-source``."""
    for where, item in subject.items:
        if not item.why:
            message = f"item '{item.id}' does not say why it matters"
            yield Problem(message, where, code="no-why", hint="a trainee asks: tell me why", level="note")
        if not item.source:
            message = f"item '{item.id}' does not say where it comes from"
            hint = "name a published rule or the manual, or write 'source: common practice'"
            yield Problem(message, where, code="no-source", hint=hint, level="note")


def open_rules(subject: Subject) -> Iterator[Problem]:
    """Note ``rule-left-open``."""
    answered = {name for _, item in subject.items for name in item.asked_by}
    for rule in published_rules().rules:
        if rule.id not in answered and rule.id not in subject.checklist.leaves_out:
            message = f"no item answers {rule.rule}, {rule.topic}"
            left_out = f"leaves_out: {{{rule.id}: why}}"
            hint = f"write 'asked_by: [{rule.id}]' at the item that does, or at the top '{left_out}'"
            yield Problem(message, (), code="rule-left-open", hint=hint, level="note")
