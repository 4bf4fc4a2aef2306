"""The piston trainer against what the rules in ``rules.yaml`` ask of a pre-flight walk, and what of it is not asked.

FAA-H-8083-3C, chapter 2, "Visual Preflight Assessment", read in stored pages of it: the look from the approach
(alignment, distortion, stains, puddles), fuel level seen in each tank, grade and quality, caps put back, stains of
fuel, water and dirt in samples.  Read in an earlier edition (page 2-2): ropes, control locks and chocks before all
else, door, windscreen.  Its headings: inside, outer wing surfaces and tail, fuel and oil, landing gear, engine and
propeller.  The remaining subjects below are values from memory.  EASA AMC M.A.301(a), duties (a) to (f), as in
``test_preflight_duties``.
"""

from pathlib import Path

import pytest

from handsfree.checklist import loading
from handsfree.checklist.models import Checklist
from handsfree.checklist.rules import published_rules

CHECKLIST = Path(__file__).parents[2] / "checklists/piston-trainer.yaml"

FINDINGS_OF_RULE: dict[str, dict[str, tuple[str, ...]]] = {
    "amc-walk-around": {
        "stance": ("bent",), "left-tyre": ("worn", "cut"), "right-brake": ("leak", "worn"), "propeller": ("nick",),
        "cowling": ("leak",), "rear-skin": ("dent",),
    },
    "amc-fluids": {
        "left-fuel-sample": ("water", "dirt"), "right-fuel-sample": ("water", "dirt"),
        "engine-fuel-sample": ("water", "dirt"), "left-fuel-colour": ("no-colour", "other-grade"),
        "right-fuel-colour": ("no-colour", "other-grade"), "oil-quantity": ("oil-dirty",),
    },
    "amc-doors": {
        "baggage-door": ("open",), "cabin-door": ("loose",), "oil-cap": ("open", "missing"), "cowling": ("open",),
        "left-fuel-cap": ("open", "missing"), "right-fuel-cap": ("open", "missing"),
    },
    "amc-locks-covers": {
        "control-lock": ("lock-on",), "pitot-cover": ("cover-on", "blocked"), "static-ports": ("cover-on", "tape"),
        "intakes": ("plug-in",), "ropes": ("tied-down",),
    },
    "amc-clean-surfaces": {
        "left-wing-frost": ("ice", "frost", "snow", "contaminated"), "tail-frost": ("ice", "frost", "snow"),
        "right-wing-frost": ("ice", "frost", "snow", "contaminated"),
    },
    "faa-approach": {"stance": ("leaning", "bent"), "ground": ("puddle", "stain", "leak")},
    "faa-inside": {"belts": ("chafed", "buckle-broken"), "control-lock": ("lock-on",), "cabin-door": ("latch-stuck",)},
    "faa-wings-tail": {
        "left-leading-edge": ("dent", "wrinkle", "rivet"), "right-leading-edge": ("dent", "wrinkle", "rivet"),
        "left-aileron": ("stuck", "bolt-missing", "play"), "right-aileron": ("stuck", "bolt-missing", "play"),
        "elevator": ("stuck", "bolt-missing", "play"), "rudder": ("chafed", "bolt-missing"), "stall-warner": ("stuck",),
    },
    "faa-fuel-oil": {
        "left-fuel-quantity": ("gauge-differs",), "right-fuel-quantity": ("gauge-differs",),
        "left-vent": ("blocked",), "right-vent": ("blocked",), "oil-cap": ("loose",),
        "left-fuel-cap": ("stain",), "right-fuel-cap": ("stain",),
    },
    "faa-landing-gear": {
        "left-tyre": ("cut", "bulge", "cord", "crack"), "right-tyre": ("cut", "bulge", "cord", "crack"),
        "nose-tyre": ("cut", "bulge", "cord", "crack"), "nose-leg": ("leak", "strut-flat"),
        "left-brake": ("leak", "worn", "chafed"), "right-brake": ("leak", "worn", "chafed"),
    },
    "faa-engine-propeller": {
        "propeller": ("nick", "crack"), "spinner": ("loose", "crack"), "intakes": ("nest", "blocked"),
        "exhaust": ("crack", "loose"), "cowling": ("leak", "latch-open"),
    },
    "cfr-91-209": {"lights-lit": ("light-out", "wrong-colour")},
}  # fmt: skip
"""By rule: the items that answer it, and the very failures that the rule is there to find."""

NOT_ASKED = {
    "amc-deferred": "the record of deferred defects is read in the office",
    "cfr-25-1385": "part 25 is for transport aircraft; the colours are asked all the same",
    "cfr-25-1401": "part 25 is for transport aircraft; nobody counts the flashes",
}
"""Rules that this checklist does not answer, and why."""
OF_THE_INSIDE_NOT_ASKED = ("seat", "instrument", "fire extinguisher", "documents", "locator")
"""Of the handbook's "inside of the aircraft": whoever sits inside has their own list for these."""


@pytest.fixture(scope="module")
def checklist() -> Checklist:
    return loading.load(CHECKLIST)


def rule_ids() -> set[str]:
    return {one.id for one in published_rules().rules}


def test_every_rule_is_answered_or_it_is_said_why_not(checklist: Checklist) -> None:
    answered = {rule for item in checklist.items() for rule in item.asked_by}
    assert answered == set(FINDINGS_OF_RULE)
    assert answered | set(NOT_ASKED) == rule_ids()
    assert not answered & set(NOT_ASKED)


@pytest.mark.parametrize("rule", FINDINGS_OF_RULE)
def test_what_a_rule_is_there_to_find_can_be_reported_at_an_item_that_answers_it(
    checklist: Checklist, rule: str
) -> None:
    for item_id, findings in FINDINGS_OF_RULE[rule].items():
        item = checklist.item(item_id)
        assert rule in item.asked_by, item_id
        assert set(findings) <= item.finding_ids(), item_id


def test_an_items_source_names_a_rule_that_it_answers(checklist: Checklist) -> None:
    for item in checklist.items():
        source = item.source or ""
        if "AMC M.A.301(a)" in source:
            assert any(rule.startswith("amc-") for rule in item.asked_by), item.id
        if "FAA-H-8083-3C" in source:
            assert any(rule.startswith("faa-") for rule in item.asked_by), item.id
        if "14 CFR 91.209" in source:
            assert "cfr-91-209" in item.asked_by, item.id


def test_the_walk_begins_with_the_look_from_the_approach_and_with_what_holds_the_aircraft(checklist: Checklist) -> None:
    first, second = checklist.zones[:2]
    assert first.id == "approach"
    assert {"faa-approach"} <= {rule for item in first.items for rule in item.asked_by}
    early = [item.id for item in (*first.items, *second.items)]
    assert {"chocks", "ropes", "control-lock"} <= set(early)


def test_what_is_not_asked_of_the_inside_is_really_not_asked(checklist: Checklist) -> None:
    names = " ".join(item.name for item in checklist.items())
    assert not any(word in names for word in OF_THE_INSIDE_NOT_ASKED)
