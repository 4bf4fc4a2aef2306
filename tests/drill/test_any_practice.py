"""Whatever is said while practising, in whatever order: what holds of a walk holds of practice, and it can be ended."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handsfree.checklist.models import Practice
from handsfree.walk.events import Begin, Event, Spoken
from handsfree.walk.machine import expect
from tests.drill.practised import practice_book
from tests.walk.test_any_conversation import ACTIONS, WAY_OUT, Action, Witness, event, heard

ENDING = WAY_OUT | {"item": "end the walk", "where": "end the walk", "note": "a note"}
PRACTICES: tuple[Practice, ...] = ("guided", "scenes", "memory")


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(PRACTICES), st.booleans(), st.lists(ACTIONS, max_size=50))
def test_whatever_is_said_while_practising(practice: Practice, bare: bool, actions: list[Action]) -> None:
    book = practice_book(practice, bare=bare)
    witness = Witness(book)
    events: list[Event] = [Begin(who="AB", registration="Q7KTA", level_check=False)]
    witness.see(events[0])
    for action in actions:
        witness.see(event(book, expect(witness.state), action))
    for _ in range(60):
        if witness.state.moment == "ended":
            break
        words = ENDING.get(witness.state.moment, "affirm")
        witness.see(Spoken(heard(book, expect(witness.state), words)))
    assert witness.state.moment == "ended", f"practice cannot be brought to its end from {witness.state.moment}"
