"""Every threshold of the ears, in one place, with the measurement it came from."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from handsfree.language.heard import HeardOutcome
from handsfree.language.meaning import Outcome, Passing
from handsfree.language.vocabulary import Kind, Source

POOR_SNR_DB = 4.0
"""Speech that stands less over the noise, as the ears measure it, is hardly understood.  On 33 answers they measured
4 to 9 where 10 dB were true, and -1 to 4 where 5 were."""


@dataclass(frozen=True, slots=True)
class ScoreSettings:
    """How sure the ears are, from how much likelier the chosen meaning is than all others together.

    Fitted by ``python -m handsfree.bench.calibration`` to the tuning voices of the bench; the bench's report of the
    other voices shows how far it holds.
    """

    offset: float = -0.67
    slope: float = 0.54
    most: float = 12.0
    """More log odds than these say nothing more: what a decode did not read at all has a floor."""

    def confidence(self, log_odds: float) -> float:
        """0 to 1."""
        bounded = max(-self.most, min(self.most, log_odds))
        return 1.0 / (1.0 + math.exp(-(self.offset + self.slope * bounded)))

    def log_odds(self, confidence: float) -> float:
        """The other way round."""
        certain = self.confidence(self.most)
        bounded = max(1e-6, min(certain, confidence))
        return (math.log(bounded / (1.0 - bounded)) - self.offset) / self.slope


@dataclass(frozen=True, slots=True)
class JudgeSettings:
    """When a meaning counts.  Margins are differences of logarithms of shares, all decodes together."""

    pass_margin: float = 3.0
    """What a pass or a number needs in noise over every other meaning, to be worth a second opinion.  Of 269 defects of
    8 voices at 10 dB, spoken where a number is asked, 6 were taken for a number within its limits when a number needed
    1 and no second opinion, and 1 since ("plugged" as "nine"); at 5 dB 8 and 2 of 284.  Of 360 numbers 328 and 292 were
    right at 10 dB, of 357 at 5 dB 298 and 250, of 356 in quiet 344 and 341; what is missing is asked about."""
    critical_margin: float = 4.0
    """What it needs where a defect may be critical."""
    quiet_margin: float = 11.0
    """What it needs in quiet.  Of 122 good answers of 6 voices none had less than 12, but 20 of 28 defects that no list
    foresees ("paper inside" for "clear inside") had: who cannot be heard clearly in quiet says something else."""
    pass_unknown_margin: float = 1.0
    """What it needs in noise over words outside the list, and over no words."""
    quiet_unknown_margin: float = 9.0
    """The same in quiet."""
    quiet_other_margin: float = 5.0
    """What a value or a control word needs in quiet, over all: of 189 good answers one had less than 6.9 (3.1).  A
    woman's "papa" is heard as "alfa" with 2.3 to 4.5.  A finding needs it over unknown words only, which keeps talk to
    others out: between two findings its read-back decides."""
    quiet_db: float = 15.0
    """Speech over noise from which it counts as quiet."""
    doubted_margin: float = -3.5
    """What a pass needs over all else when it is heard again with passes dear, in each decode; below nothing, for it
    need not win.  Measured on the tuning voices, with 2153 defects of which most were chosen to sound like a
    pass of their item: none of those that both decodes took for a pass had more than -4.2 at 10 and 5 dB, but for
    short words ("crack" as "dry", -0.4).  Of 143 true passes 82 / 72 % had more, of 131 in quiet 98 %."""
    doubted_critical_margin: float = -2.5
    """The same where a defect may be critical."""
    doubted_denial_margin: float = -0.5
    """The same for a defect but for a small word: at 10 dB a woman's "fuel leak" was heard as "no leak" with -2.1, and
    12 of 16 true ones had more than this."""
    doubted_poor_margin: float = -0.5
    """The same in such noise that speech is hardly understood: "vent bent" was heard as "vent clear" with -0.9."""
    doubted_word_margin: float = 1.0
    """The same for a single short word in noise."""
    poor_snr_db: float = POOR_SNR_DB
    short_letters: int = 6
    """Letters of a short word."""
    finding_margin: float = 1.0
    """What a finding needs: it is read back before it counts."""
    control_margin: float = 3.0
    """What a control word needs."""
    unknown_margin: float = 0.5
    """What any meaning needs over words outside the list, and over no words."""
    absent: float = -6.0
    """The logarithm of the share that a decode has for what it did not read at all."""
    near: float = 3.5
    """How far below the top a meaning may lie and still be asked about, when the top itself means nothing."""
    resemblance: float = 80.0
    """How alike (0 to 100) a phrase must be to what was heard to be offered as a guess in a question."""
    unknown_share: float = 0.5
    """With more than one unknown word, an utterance is only asked about if less than this share of its words is."""
    broken_s: float = 0.2
    """A pause within a pass from which what stands before or behind it is looked at by itself: "no … leak" is a leak.
    "No leak" and "no leaks" in one breath, of 12 voices, had at most 0.12 s."""
    letter_s: float = 0.1
    """So much speech (pauses not counted) there is at most for each letter of what was understood, ..."""
    extra_s: float = 0.5
    """... and so much besides.  Of 300 answers of 16 voices, a quarter of them raised, none was longer."""
    an_unknown_word: str = "other"
    """As long as an unknown word is thought to be."""
    score: ScoreSettings = field(default_factory=ScoreSettings)

    def margins(self, outcome: Outcome, *, passes: bool, critical: bool, quiet: bool) -> tuple[float, float]:
        """What a meaning of this outcome needs over every other meaning, and over unknown words and none.

        ``passes``: what is asked may pass by it.
        """
        match outcome:
            case "pass" if quiet:
                return self.quiet_margin, self.quiet_unknown_margin
            case "finding" if quiet:
                return self.finding_margin, self.quiet_other_margin
            case _ if quiet:
                return self.quiet_other_margin, self.quiet_other_margin
            case _ if passes:
                return self.critical_margin if critical else self.pass_margin, self.pass_unknown_margin
            case "control":
                return self.control_margin, self.unknown_margin
            case _:
                return self.finding_margin, self.unknown_margin

    def doubted_margin_of(
        self, outcome: HeardOutcome, words: str, *, critical: bool, denial: bool, snr_db: float
    ) -> float:
        """What a pass or a number of these words needs when it is heard again as dear: the most that holds of it."""
        # Half of all numbers are one short word; needing more of them would ask about one true number in ten more.
        is_short = outcome == "pass" and " " not in words and len(words) <= self.short_letters
        margins = (
            (self.doubted_margin, True),
            (self.doubted_critical_margin, critical),
            (self.doubted_denial_margin, denial),
            (self.doubted_poor_margin, snr_db < self.poor_snr_db),
            (self.doubted_word_margin, is_short and snr_db < self.quiet_db),
        )
        return max(margin for margin, holds in margins if holds)


@dataclass(frozen=True, slots=True)
class PhraseCosts:
    """What each kind of phrase costs before it was heard: natural logarithms, 1 = e times less expected."""

    own: float = 0.0
    """The item's own findings, and the words that answer any other question."""
    number: float = 0.0
    """Numbers that the item asks for."""
    passing: float = 0.0
    """What passes the item."""
    doubted: float = 8.0
    """The same of either when it is heard a second time: more than any defect at this item costs."""
    general: float = 6.0
    """Everyday defects."""
    control: float = 6.0
    """Control words that are no answer to the question."""
    denied: float = 5.0
    """Denied responses: listened for lest they be heard as the response."""
    before: float = 8.0
    """Second thoughts about the item just answered."""
    elsewhere: float = 11.0
    """Reports of another place: many, and rarely said."""
    stranger: float = 6.0
    """Words that mean nothing here, listened for lest they be taken for others."""
    other_word: float = 4.0
    """A pass with a word unknown ("drains [unk]"), listened for lest "drains drip" be heard as "drains dry"."""
    unknown_word: float = 6.0
    """Any other word."""
    further_clause: float = 9.0
    """A second thing in one breath."""
    doubted_clause: float = 0.0
    """The same when a pass is heard a second time: noise may have covered a defect in the same breath ("no leaks, oil
    leak").  Of 900 passes with a defect after them, in noise at 10 to 0 dB, 9 were taken for the pass when this cost
    9, 4 at 3, 1 at 1 and none at 0, which asks about 13 of 232 true passes in the same noise and 2 of 157 in quiet."""

    def of(self, source: Source) -> float:
        """What a phrase costs."""
        if source.outcome == "pass":
            return self.passing
        if source.outcome == "value":
            return self.number
        by_kind: dict[Kind, float] = {
            "own": self.own,
            "general": self.general,
            "control": self.control,
            "denied": self.denied,
            "before": self.before,
            "elsewhere": self.elsewhere,
        }
        return by_kind[source.kind]

    def doubting(self, doubted: Passing) -> PhraseCosts:
        """The costs when a pass, or a number and with it a pass beside it, is heard a second time."""
        number = self.doubted if doubted == "value" else self.number
        return replace(self, passing=self.doubted, number=number, further_clause=self.doubted_clause)


@dataclass(frozen=True, slots=True)
class EndpointSettings:
    """When an utterance begins and ends; seconds of sound and decibels."""

    active_db: float = 16.0
    """A frame with a band of the cleaned sound this far over its noise floor is speech.  Measured on 16 phrases of 8
    voices in pink noise / turbine / rain at 0 dB: frames of speech missed .47 / .52 / .28 (.31 in quiet), frames of
    noise after it taken for speech .00 / .06 / .03.  At 12 dB .39 / .43 / .20 and .00 / .09 / .14; the bands of the raw
    sound at 7 dB: .66 / .76 / .20 and .00 / .00 / .22.  Each false one makes the ears hear the answer again."""
    onset_s: float = 0.06
    """So much activity within 0.1 s begins an utterance."""
    before_s: float = 0.5
    """Sound kept from before the beginning, so that soft first sounds are heard."""
    pause_early_s: float = 0.12
    """A pause of this length after a whole finding, value or control word that cannot go on: time to decide."""
    pause_pass_s: float = 0.22
    """The same after a whole pass."""
    pause_growing_s: float = 0.14
    """The same after a whole phrase that may go on: "cut" … "on tyre two"."""
    pause_open_s: float = 1.0
    """The same after anything else: the inspector may be looking for the number or for the next word."""
    stable_s: float = 1.0
    """Or the words of a whole answer stood still so long, whatever the noise does."""
    answer_pass_s: float = 0.7
    """A pass is given out after so long a pause only: a defect may follow in the same breath."""
    answer_finding_s: float = 0.5
    """A finding or a value; it is read back, so that what is missing will be noticed."""
    answer_control_s: float = 0.25
    """A control word; nothing follows one."""
    answer_doubt_s: float = 0.6
    """A question, and what was not for us."""
    pause_empty_s: float = 0.6
    """A pause of this length ends what began with a noise and brought no word."""
    longest_s: float = 12.0
    """More than this is not one answer; long stretches of noise also yield words that nobody said."""
    least_speech_s: float = 0.1
    """Words that come with less activity than this were not spoken."""

    def pause_after(self, wording: str) -> float:
        """The pause after which words of this kind are decided about."""
        match wording:
            case "finding" | "value" | "control":
                return self.pause_early_s
            case "pass":
                return self.pause_pass_s
            case "may go on":
                return self.pause_growing_s
            case _:
                return self.pause_open_s

    def pause_before_answer(self, outcome: HeardOutcome) -> float:
        """The pause after which a decision of this outcome is given out."""
        match outcome:
            case "pass":
                return self.answer_pass_s
            case "finding" | "value":
                return self.answer_finding_s
            case "control":
                return self.answer_control_s
            case _:
                return self.answer_doubt_s


@dataclass(frozen=True, slots=True)
class LoudnessSettings:
    """When the noise is to blame for what was not understood; decibels, 0 = the loudest possible."""

    poor_snr_db: float = POOR_SNR_DB
    audible_dbfs: float = -50.0
    """Less noise is not to blame: who stands hardly over it spoke far away, or to others."""
    speech_dbfs: float = -20.0
    """A raised voice, for where nobody was heard: how far it would have stood over the noise."""


@dataclass(frozen=True, slots=True)
class HearingSettings:
    """All settings of the ears."""

    judge: JudgeSettings = field(default_factory=JudgeSettings)
    costs: PhraseCosts = field(default_factory=PhraseCosts)
    endpoint: EndpointSettings = field(default_factory=EndpointSettings)
    loudness: LoudnessSettings = field(default_factory=LoudnessSettings)
