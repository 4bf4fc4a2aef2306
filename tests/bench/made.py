"""Trials and reports made by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from handsfree.bench.plan import Settings
from handsfree.bench.report import Report, report_of
from handsfree.bench.trial import Trial
from handsfree.language.meaning import Meaning

CUT = Meaning.of("finding", item="tyres", finding="cut")
GOOD = Meaning.of("pass", item="tyres")
STAND_BY = Meaning.of("control", control="stand_by")

RIGHT = Trial(
    by="handsfree", item="tyres", words="cut", voice="flite/slt", condition="clean", seed=0,
    wanted=(CUT,), outcome="finding", meanings=(CUT,), said="cut", confidence=1.0, verdict="right", second=None,
    defect=True, false_pass=False, false_finding=False, decided_after_s=0.2, answered_after_s=0.4, cut_off=False,
    cost_s=0.5, audio_s=5.0, blocks_ms=(5.0, 10.0), memory_mb=200.0,
)  # fmt: skip


def trial(**changed: Any) -> Trial:
    """A finding that was heard rightly, but for what is changed."""
    return replace(RIGHT, **changed)


def report(*trials: Trial, **settings: Any) -> Report:
    """The report of some trials."""
    whole = Settings.model_validate({"checklist": "twin-turboprop", **settings})
    return report_of(trials, whole, ours="handsfree", processes=2)
