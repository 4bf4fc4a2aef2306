"""Where a report from elsewhere lands: on the one item that asks for it, or nowhere, never on a wrong one."""

import pytest

from handsfree.checklist.elsewhere import may_be_meant, place_of
from handsfree.checklist.models import Checklist
from handsfree.checklist.phrases import Phrasebook
from handsfree.language.grammars import Grammars
from handsfree.language.meaning import Meaning
from tests.checklist.written import checklist, item, zone

LEAK = [{"use": "<findings.leak>"}]


def landed(on: Checklist, **slots: str) -> str | None:
    found = place_of(on, Meaning.of("finding", slots))
    return found.id if found else None


@pytest.fixture
def wing() -> Checklist:
    return checklist(
        zone(
            "wing",
            item("pump", kind="hold", hold={"id": "pump", "ask": "pump on"}, findings=LEAK),
            item("bay", findings=LEAK),
            item("tank", findings=LEAK, fluids=["fuel"]),
            item("gear", findings=LEAK, fluids=["hydraulic", "brake"]),
            item("tyres", findings=[{"use": "<findings.flat_spot>"}], positions={"side": ["left"]}, called="tyre"),
            item("wheels", findings=[{"use": "<findings.flat_spot>"}], positions={"side": ["right"]}, called="wheel"),
            item("disc", kind="indicator", states=[
                {"id": "in", "good": True, "say": ["in place"]}, {"id": "gone", "good": False, "say": ["gone"]}]),
        ),
        zone("tail", item("fin", findings=[{"id": "bird-nest", "say": ["nest"]}])),
        places=[{"id": "aft", "spoken": ["aft"], "zones": ["wing", "tail"]}],
    )  # fmt: skip


@pytest.mark.parametrize(
    ("slots", "lands"),
    [
        ({"place": "wing", "finding": "leak", "fluid": "fuel"}, "tank"),
        ({"place": "wing", "finding": "leak", "fluid": "brake"}, "gear"),
        ({"place": "wing", "finding": "leak", "fluid": "oil"}, "bay"),  # names no fluid, so it may be any
        ({"place": "wing", "finding": "leak"}, None),  # three that look: to choose one would be a guess
        ({"place": "wing", "finding": "flat-spot", "side": "right"}, "wheels"),
        ({"place": "wing", "finding": "flat-spot"}, None),
        ({"place": "wing", "finding": "gone"}, "disc"),  # a bad state is a finding of its item
        ({"place": "aft", "finding": "bird-nest"}, "fin"),  # a place stands for its zones
        ({"place": "tail", "finding": "leak"}, None),  # nobody asks: a free finding of the tail
        ({"place": "nowhere", "finding": "leak"}, None),
        ({"finding": "leak"}, None),
    ],
)
def test_where_a_report_lands(wing: Checklist, slots: dict[str, str], lands: str | None) -> None:
    assert landed(wing, **slots) == lands


def test_all_that_may_be_meant_is_known(wing: Checklist) -> None:
    """The hold only waits for the cockpit."""
    meant = may_be_meant(wing, Meaning.of("finding", place="wing", finding="leak"))
    assert [one.id for one in meant] == ["bay", "tank", "gear"]


def test_a_fluid_does_not_land_where_only_others_can_leak() -> None:
    only_fuel = checklist(zone("wing", item("tank", findings=LEAK, fluids=["fuel"])))
    assert landed(only_fuel, place="wing", finding="leak", fluid="oil") is None


def test_the_article_is_understood_whether_the_author_wrote_it_or_not(grammars: Grammars) -> None:
    plain = checklist(zone("wing"), zone("tail", spoken=["[the] tail"]))
    vocabulary = Phrasebook(plain, grammars).item(plain.item("wing-item"))
    for words in ("dent on the wing", "dent on wing", "dent on the tail", "dent tail"):
        assert vocabulary.parse(words).clauses[0].get("finding") == "dent"
    assert not any("the the" in phrase for phrase in vocabulary.recogniser_list())


def test_every_finding_can_be_reported_of_every_place(small: Checklist, grammars: Grammars) -> None:
    vocabulary = Phrasebook(small, grammars).item(small.item("taxi-light"))
    for path in grammars.expansion("<findings.any>").paths():
        for place in ("nose", "left wing", "tail", "left side"):
            (clause,) = vocabulary.parse(f"report {path.written} on the {place}").clauses
            assert clause.get("finding") == dict(path.slots)["finding"]
            assert clause.get("place") == place.replace(" ", "-")
