"""Every threshold of the ears, in one place, with the measurement it came from."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class JudgeSettings:
    """When a reading counts.  Margins are differences of log likelihoods between readings of one utterance."""

    pass_margin: float = 3.0
    """What a pass needs over every reading that means otherwise."""
    pass_share: float = 0.8
    """What share of the likelihood of all readings a pass needs.  In clean synthetic speech of 4 voices this
    turns 5 of 945 good answers into questions, and 15 of 41 defects heard as a pass because no list foresaw them."""
    other_margin: float = 1.0
    """What a finding, a value or a control word needs over every reading that means otherwise."""
    unknown_margin: float = 1.0
    """What any reading needs over the best reading that holds words outside the list, or no words."""
    clause_cost: float = 3.0
    """Taken off a reading for each clause beyond the first: phrase lists let the recogniser glue pieces together, and
    "low, leak" must not stand against "no leak" as if it were as usual a thing to say."""
    near: float = 3.5
    """How far below the top a reading may lie and still be a finding, when the top itself means nothing."""
    near_unknown_margin: float = 3.0
    """... if it lies so far over the best reading that holds words outside the list, or no words."""
    resemblance: float = 80.0
    """How alike (0 to 100) a phrase must be to what was heard to be offered as a guess in a question."""
    unknown_share: float = 0.5
    """With unknown words in it, an utterance is only asked about if less than this share of its words is unknown."""


@dataclass(frozen=True, slots=True)
class EndpointSettings:
    """When an utterance begins and ends; seconds of sound and decibels."""

    active_db: float = 7.0
    """A 20 ms frame with a band this far over its noise floor is speech.  Measured on 12 phrases of 7 voices in pink
    noise: speech frames found at 10 / 5 / 0 dB .94 / .90 / .82, no utterance missed, no false beginning in 66 s."""
    onset_s: float = 0.06
    """So much activity within 0.1 s begins an utterance."""
    before_s: float = 0.5
    """Sound kept from before the beginning, so that soft first sounds are heard."""
    pause_complete_s: float = 1.0
    """A pause of this length ends what is a whole phrase and cannot go on.  Long on purpose: a defect may follow a pass
    in the same breath, and what is cut off would not be heard."""
    pause_open_s: float = 1.2
    """... and this ends anything else: the inspector may be looking for the number or for the next clause."""
    stable_s: float = 0.3
    """The words should have stood still so long: a recogniser behind its time is waited for ..."""
    unstable_s: float = 0.4
    """... but only so much longer: what comes later are words that the noise makes."""
    pause_empty_s: float = 0.6
    """A pause of this length ends what began with a noise and brought no word."""
    longest_s: float = 12.0
    """More than this is not one answer; long stretches of noise also yield words that nobody said."""
    least_speech_s: float = 0.1
    """Words that come with less activity than this were not spoken."""


@dataclass(frozen=True, slots=True)
class LevelSettings:
    """When the level check complains; decibels, 0 = the loudest possible."""

    quiet_dbfs: float = -42.0
    loud_dbfs: float = -9.0
    clipped_share: float = 0.001
    poor_snr_db: float = 6.0


@dataclass(frozen=True, slots=True)
class HearingSettings:
    """All settings of the ears."""

    judge: JudgeSettings = field(default_factory=JudgeSettings)
    endpoint: EndpointSettings = field(default_factory=EndpointSettings)
    level: LevelSettings = field(default_factory=LevelSettings)
