"""Why something was not heard (noise, lost sound), said before it is asked again, and what helps."""

from __future__ import annotations

from handsfree.language.heard import Heard
from handsfree.walk import wording
from handsfree.walk.events import Silence
from handsfree.walk.state import Moment, WalkState
from handsfree.walk.turn import Turn

OFFERED_AFTER = 3
"""Times in a row that it was too loud before the way out is named."""
_CAN_BE_LEFT: frozenset[Moment] = frozenset({"item", "read_back", "guess_check", "which"})


def has_reason(came: Heard | Silence) -> bool:
    """Whether there is something to tell."""
    return came.too_loud or came.lost_sound


def tell(turn: Turn, came: Heard | Silence) -> None:
    """Say the reason, if there is one; what helps against noise only once in a zone, and the way out only once."""
    turn.change(loud=turn.state.loud + 1 if came.too_loud else 0)
    if came.lost_sound:
        turn.say(wording.LOST_SOUND)
    if not came.too_loud:
        return
    turn.say(wording.TOO_LOUD)
    zone = turn.state.zone or ""
    if zone not in turn.state.advised:
        turn.change(advised=turn.state.advised | {zone})
        turn.say(wording.AGAINST_NOISE)
    if turn.state.loud == OFFERED_AFTER and turn.state.moment in _CAN_BE_LEFT:
        turn.say(wording.LEAVE_OR_WAIT)


def may_wait(state: WalkState) -> bool:
    """Whether the person was offered to leave the item or to wait for quiet: then the tool does not decide it."""
    return state.loud >= OFFERED_AFTER and state.moment in _CAN_BE_LEFT
