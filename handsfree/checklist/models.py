"""A checklist as data: what is walked past, what is asked there, and what may be answered.

The models mirror the YAML file one to one; the JSON Schema that editors use is made from them.  Wherever a phrase is
written (``say``, ``pass``, ``spoken``, ``called``) it is a JSGF rule expansion: ``[the] tyres (good | serviceable)``,
and may refer to a rule of the shipped grammars: ``<findings.cut>``.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from difflib import get_close_matches
from typing import Annotated, Literal, NamedTuple, Self

from pydantic import BaseModel, ConfigDict, Field, GetJsonSchemaHandler, model_validator
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError

from handsfree.checklist.problems import Location

Severity = Literal["critical", "major", "minor"]
SEVERITIES: tuple[Severity, ...] = ("critical", "major", "minor")
"""The gravest first."""
Kind = Literal["condition", "indicator", "quantity", "count", "hold", "undo"]
Side = Literal["left", "right"]
Radial = Literal["inner", "outer"]

Practice = Literal["", "guided", "scenes", "memory"]
"""How somebody practises with a checklist: prompted and taught, prompted to decide about what is described, or not
prompted at all; empty = nobody does, this is a walk round a real aircraft."""

IDENTIFIER_PATTERN = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$"
CODE_PATTERN = r"^[a-z]{2}$"
RULE_PATTERN = r"^<[a-z_]+\.[a-z_]+>$"
ATA_PATTERN = r"^[0-9]{2}$"
LONGEST_PATTERN = 60
LONGEST_REGISTRATION = 10
"""Characters."""
MOST_CHOICES = 10
_REGISTRATION = re.compile(rf"[A-Z0-9]{{1,{LONGEST_REGISTRATION}}}", re.ASCII)
_WITHOUT_END = re.compile(r"[*+]|,\}|\)\{")
"""Repetition without end or of a group: such a pattern can take for ever to match, and no registration needs it."""
_CHOICE = re.compile(r"[?|,]")
"""Where a pattern can go two ways; what it costs to match doubles with each."""

Identifier = Annotated[str, Field(pattern=IDENTIFIER_PATTERN)]
"""Lower-case words joined by hyphens: ``nose-tyres``."""
Spoken = Annotated[str, Field(min_length=1)]
"""A phrase as a JSGF rule expansion."""
Ata = Annotated[str, Field(pattern=ATA_PATTERN)]
"""An ATA 100 chapter: two digits, quoted in YAML."""
LanguageCode = Annotated[str, Field(pattern=CODE_PATTERN)]
"""A language by its two letters in ISO 639-1."""
Text = Annotated[str, Field(min_length=1)]
"""Words that the tool speaks or shows."""
Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
"""A number as YAML writes it; text that looks like one is an error, here as in the JSON Schema."""
Whole = Annotated[int, Field(strict=True)]
Flag = Annotated[bool, Field(strict=True)]


class Misfit(NamedTuple):
    """A field that does not go together with others."""

    where: Location
    """The way to it from the model that holds them."""
    message: str
    hint: str = ""
    """What to do about it."""


Misfits = list[Misfit]


class Strict(BaseModel):
    """Frozen, and an unknown field is an error: a misspelt field must not be lost in silence."""

    # The docstrings under the fields become the descriptions that an editor shows.
    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, use_attribute_docstrings=True)


def _refuse(misfits: Misfits) -> None:
    """Raise one validation error that carries every misfit with its place, so that a loader can name the lines."""
    if misfits:
        text = "; ".join(one.message for one in misfits)
        raise PydanticCustomError("misfit", "{text}", {"text": text, "misfits": misfits})


class Registration(Strict):
    """How this operator's registrations look."""

    pattern: str
    """A regular expression over capital letters and digits without hyphen: ``Q7[A-Z]{3}``."""
    example: str

    @model_validator(mode="after")
    def _example_fits(self) -> Self:
        _refuse(self._pattern_misfits() or self._example_misfits())
        return self

    def _pattern_misfits(self) -> Misfits:
        if len(self.pattern) > LONGEST_PATTERN:
            message = f"the pattern has {len(self.pattern)} characters; {LONGEST_PATTERN} are enough"
            return [Misfit(("pattern",), message)]
        try:
            re.compile(self.pattern)
        except (re.error, OverflowError) as error:
            return [Misfit(("pattern",), f"'{self.pattern}' is not a regular expression: {error}")]
        if _WITHOUT_END.search(self.pattern) or len(_CHOICE.findall(self.pattern)) > MOST_CHOICES:
            message = f"'{self.pattern}' leaves too much open: say how many characters, '[A-Z]{{3}}' and not '[A-Z]+'"
            return [Misfit(("pattern",), message)]
        return []

    def _example_misfits(self) -> Misfits:
        if not _REGISTRATION.fullmatch(self.example):
            message = f"'{self.example}' is not 1 to {LONGEST_REGISTRATION} capital letters and digits without hyphen"
            return [Misfit(("example",), message)]
        if not re.fullmatch(self.pattern, self.example):
            message = f"the pattern '{self.pattern}' does not match the example '{self.example}'"
            return [Misfit(("example",), message)]
        return []


class Aircraft(Strict):
    """The aircraft that a checklist is for."""

    type: str
    operator: str
    registration: Registration


class Condition(Strict):
    """A question at the start that decides about conditional items; answered affirm or negative."""

    id: Identifier
    ask: str
    """The question as spoken; affirm means that the condition holds."""


class Pass(Strict):
    """A response that passes an item, or one part of it; a plain string in YAML is a pass that covers everything."""

    say: Spoken
    covers: tuple[Identifier, ...] = ()
    """The parts of the item that this answers; empty = all of them."""

    @model_validator(mode="before")
    @classmethod
    def _from_plain_string(cls, data: object) -> object:
        return {"say": data} if isinstance(data, str) else data

    @classmethod
    def __get_pydantic_json_schema__(cls, core: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Editors are told of both forms."""
        full = handler.resolve_ref_schema(handler(core))
        plain = {"type": "string", "minLength": 1, "description": "A response that covers everything."}
        return {"anyOf": [plain, full]}


class Finding(Strict):
    """A defect that can be spoken at an item: from a grammar (``use``) or in own words (``id`` and ``say``)."""

    use: Annotated[str, Field(pattern=RULE_PATTERN)] | None = None
    """A grammar rule whose tag ``finding=…`` gives the id: ``<findings.cut>``."""
    id: Identifier | None = None
    say: tuple[Spoken, ...] = ()
    severity: Severity | None = None
    """None = the item's."""

    @model_validator(mode="after")
    def _one_source(self) -> Self:
        if (self.use is None) == (self.id is None) or (self.id is None) == bool(self.say):
            _refuse([Misfit((), "a finding has either 'use: <grammar.rule>' or both 'id' and 'say'")])
        return self

    @property
    def finding_id(self) -> str:
        """The id that is logged: the own one, or the rule's name with hyphens (``<findings.flat_spot>``: flat-spot)."""
        return self.id or (self.use or "").strip("<>").rpartition(".")[2].replace("_", "-")


class State(Strict):
    """One state of an indicator, with the words for it; a bad state's id is the finding's id."""

    id: Identifier
    good: Flag
    say: tuple[Spoken, ...] = Field(min_length=1)
    severity: Severity | None = None


AXES = ("side", "number", "radial")
"""The axes of positions, and the slots of a meaning that say one."""


class Positions(Strict):
    """Which of several like things: each axis given may be spoken."""

    side: tuple[Side, ...] = ()
    number: tuple[Annotated[Whole, Field(ge=1, le=24)], ...] = ()
    radial: tuple[Radial, ...] = ()
    required: Flag = False
    """Ask "which one?" when a finding comes without any position; a side, a number or a radial alone is enough."""


class Quantity(Strict):
    """A number with a unit and limits."""

    called: Spoken
    """What may be said before the number: ``tyre pressure``."""
    unit: str
    """Written and spoken by the tool: ``psi``, ``of full``."""
    spoken_unit: Spoken | None = None
    """What may be said after the number; never needed."""
    low: Number | None = None
    high: Number | None = None
    """Inclusive limits in the unit; a value beyond them is a finding."""
    sayable: tuple[Number, Number]
    """The range that can be spoken at all: wide enough for anything a gauge can show."""
    step: Annotated[Number, Field(gt=0)] = 1.0
    """How far the numbers that can be spoken are apart: 0.5 for "six decimal five"; limits must be among them."""
    form: Literal["number", "fraction"] = "number"
    """Spoken as a number ("one eight five") or as a fraction of full ("three quarters")."""
    source: str | None = None
    """Where the limits come from; a limit without a source is refused by ``handsfree check``."""


class Count(Strict):
    """Things counted in hand: covers, pins."""

    of: str
    """What is counted, as spoken: ``covers``."""
    expect: Annotated[Whole, Field(ge=0, le=40)]
    most: Annotated[Whole, Field(ge=1, le=60)]
    """The highest number that can be spoken."""
    source: str | None = None


class Hold(Strict):
    """Something that somebody else must do and confirm before dependent items open."""

    id: Identifier
    who: Text = "the cockpit"
    """Who is asked, as spoken: ``the cockpit``, ``the helper``."""
    ask: str
    """What they are asked for, as spoken: ``hydraulic pressure on``."""


class Item(Strict):
    """One thing to look at or to do."""

    id: Identifier
    kind: Kind = "condition"
    name: str
    """As read in lists and read-backs: ``nose tyres``."""
    spoken: tuple[Spoken, ...] = ()
    """The ways to name it when practising from memory; empty = its name."""
    prompt: str
    """The short prompt, spoken by default."""
    full: str
    """The full prompt, spoken when asked for or to a trainee."""
    look_for: str
    """What good and bad look like, for a trainee."""
    why: str | None = None
    """Why it matters, for a trainee who asks."""
    passes: tuple[Pass, ...] = Field(default=(), alias="pass")
    """Responses that pass."""
    parts: dict[Identifier, str] = Field(default_factory=dict[str, str])
    """Aspects that must each be answered, with the words to ask for them: ``leaks: any leaks``."""
    findings: tuple[Finding, ...] = ()
    states: tuple[State, ...] = ()
    quantity: Quantity | None = None
    count: Count | None = None
    hold: Hold | None = None
    undoes: Identifier | None = None
    """For kind ``undo``: the hold's id that this ends ("pump off")."""
    positions: Positions = Positions()
    called: Spoken | None = None
    """The noun that takes a position: ``tyre`` in "cut on tyre two"."""
    fluids: tuple[Literal["fuel", "oil", "hydraulic", "brake", "water"], ...] = ()
    """Fluids that can leak here: a leak reported from elsewhere lands on the item that lists it and has its fluid."""
    severity: Severity = "major"
    caution: str | None = None
    ata: Ata
    source: str | None = None
    """Why the item is asked: a published rule, or "common practice"."""
    asked_by: tuple[Identifier, ...] = ()
    """What it answers of the published rules in ``rules.yaml``: ``amc-fluids``; the coverage table counts them."""
    checked_is_enough: Flag = False
    """Whether a bare "checked" passes; otherwise the answer must state what is seen (NASA CR-177549)."""
    repeat_after_servicing: Flag = False
    needs: Identifier | None = None
    """The hold that must be confirmed before this item opens."""
    only_if: Identifier | None = None
    """The condition under which this item is asked at all."""

    @property
    def critical(self) -> bool:
        """Whether a defect here may be critical."""
        return "critical" in {self.severity, *(one.severity for one in (*self.states, *self.findings))}

    def finding_ids(self) -> frozenset[str]:
        """The defects that this item names: findings and bad states."""
        return frozenset(
            (*(one.finding_id for one in self.findings), *(state.id for state in self.states if not state.good))
        )

    @model_validator(mode="after")
    def _fits_its_kind(self) -> Self:
        _refuse([*self._kind_misfits(), *self._content_misfits()])
        return self

    def _kind_misfits(self) -> Misfits:
        given = self._fields_of_kinds()
        if self._kind_meant() != self.kind:
            meant = self._kind_meant()
            field = given[meant][0]
            together = f"kind '{self.kind}' and field '{field}' do not go together"
            written = "kind" in self.model_fields_set
            message = together if written else f"there is a field '{field}', and no kind is written"
            return [Misfit(("kind" if written else field,), message, f"write 'kind: {meant}'")]
        return [
            Misfit(("kind",), f"kind '{self.kind}' and field '{field}' do not go together")
            if there
            else Misfit(("kind",), f"kind '{self.kind}' needs the field '{field}'")
            for kind, (field, there) in given.items()
            if there != (self.kind == kind)
        ]

    def _fields_of_kinds(self) -> Mapping[Kind, tuple[str, bool]]:
        """By kind the field that makes it, and whether it is there."""
        return {
            "indicator": ("states", bool(self.states)),
            "quantity": ("quantity", self.quantity is not None),
            "count": ("count", self.count is not None),
            "hold": ("hold", self.hold is not None),
            "undo": ("undoes", self.undoes is not None),
        }

    def _kind_meant(self) -> Kind:
        """The kind of the only such field that is there; its own unless there is just one."""
        given: list[Kind] = [kind for kind, (_, there) in self._fields_of_kinds().items() if there]
        return given[0] if len(given) == 1 else self.kind

    def _content_misfits(self) -> Misfits:
        misfits: Misfits = []
        kind = self._kind_meant()
        if kind in ("condition", "hold", "undo") and not self.passes:
            misfits.append(Misfit((), f"kind '{kind}' needs at least one response under 'pass'"))
        if self.kind == "indicator" and self.states and {state.good for state in self.states} != {True, False}:
            misfits.append(Misfit(("states",), "an indicator declares at least one good and one bad state"))
        misfits += [
            Misfit(
                ("pass", index, "covers"),
                f"'covers' names the part '{part}', which 'parts' does not have",
                _meant(part, self.parts, "the parts"),
            )
            for index, one in enumerate(self.passes)
            for part in one.covers
            if part not in self.parts
        ]
        return misfits


class Zone(Strict):
    """A place on the route, with its items in order."""

    id: Identifier
    name: str
    spoken: tuple[Spoken, ...] = Field(min_length=1)
    """The ways to name it in a report from elsewhere: ``right wing``."""
    at: tuple[Number, Number] | None = None
    """Metres: x to the right of the nose line, y forward; the door is where the file says. For the walking order."""
    caution: str | None = None
    items: tuple[Item, ...] = Field(min_length=1)


class Place(Strict):
    """A spoken place that stands for several zones: "right wing" for its front, tip and rear."""

    id: Identifier
    spoken: tuple[Spoken, ...] = Field(min_length=1)
    zones: tuple[Identifier, ...] = Field(min_length=1)


class Checklist(Strict):
    """A whole inspection."""

    format: Literal[1]
    language: LanguageCode = "en"
    """What it is spoken in; a file lists its ``languages``, and is read in one of them."""
    id: Identifier
    title: str
    notice: str
    """Whose manuals decide; read out at the start, after the cautions."""
    aircraft: Aircraft
    cautions: tuple[str, ...] = Field(min_length=1)
    """Spoken at the start of every walk."""
    leaves_out: dict[Identifier, Text] = Field(default_factory=dict[str, str])
    """What of the published rules (``amc-deferred``) and ATA chapters (``ata-61``) no item answers, and why."""
    conditions: tuple[Condition, ...] = ()
    places: tuple[Place, ...] = ()
    zones: tuple[Zone, ...] = Field(min_length=1)

    def items(self) -> tuple[Item, ...]:
        """All items in walking order."""
        return tuple(item for zone in self.zones for item in zone.items)

    def item(self, item_id: str) -> Item:
        """The item with this id; KeyError when there is none."""
        for item in self.items():
            if item.id == item_id:
                return item
        raise KeyError(item_id)

    def hold(self, hold_id: str) -> Hold:
        """The hold with this id; KeyError when there is none."""
        for item in self.items():
            if item.hold is not None and item.hold.id == hold_id:
                return item.hold
        raise KeyError(hold_id)

    def zone_of(self, item_id: str) -> Zone:
        """The zone that holds an item; KeyError when there is none."""
        for zone in self.zones:
            if any(item.id == item_id for item in zone.items):
                return zone
        raise KeyError(item_id)

    @model_validator(mode="after")
    def _names_hold_together(self) -> Self:
        _refuse([*self._repeated_ids(), *self._broken_references()])
        return self

    def _repeated_ids(self) -> Misfits:
        spots = self._item_spots()
        places: list[tuple[Location, str]] = [(("places", at, "id"), place.id) for at, place in enumerate(self.places)]
        return [
            *_repeated("item", [((*way, "id"), item.id) for way, item in spots]),
            *_repeated("hold", [((*way, "hold", "id"), item.hold.id) for way, item in spots if item.hold]),
            *_repeated("zone", [(("zones", at, "id"), zone.id) for at, zone in enumerate(self.zones)]),
            *_repeated("condition", [(("conditions", at, "id"), one.id) for at, one in enumerate(self.conditions)]),
            # A report names a zone or a place by the same slot of its meaning, so the two share their names.
            *_repeated("zone or place", [*(((), zone.id) for zone in self.zones), *places]),
        ]

    def _broken_references(self) -> Misfits:
        holds = {item.hold.id for item in self.items() if item.hold}
        conditions = {one.id for one in self.conditions}
        zones = {zone.id for zone in self.zones}
        misfits: Misfits = []
        for way, item in self._item_spots():
            for field, name in (("needs", item.needs), ("undoes", item.undoes)):
                if name and name not in holds:
                    message = f"'{field}' names the hold '{name}', which no item has"
                    misfits.append(Misfit((*way, field), message, self._hold_meant(name)))
            if item.only_if and item.only_if not in conditions:
                message = f"'only_if' names the condition '{item.only_if}', which is not asked"
                hint = _meant(item.only_if, conditions, "the conditions")
                misfits.append(Misfit((*way, "only_if"), message, hint))
        misfits += [
            Misfit(("places", at, "zones", index), f"there is no zone '{zone}'", _meant(zone, zones, "the zones"))
            for at, place in enumerate(self.places)
            for index, zone in enumerate(place.zones)
            if zone not in zones
        ]
        return misfits

    def _hold_meant(self, name: str) -> str:
        """What to write where no hold has this name; an item's id is easily taken for that of its hold."""
        holds = {item.id: item.hold.id for item in self.items() if item.hold}
        if name in holds:
            return f"write '{holds[name]}': the id under 'hold', not that of its item"
        return _meant(name, holds.values(), "the holds")

    def _item_spots(self) -> list[tuple[Location, Item]]:
        return [
            (("zones", zone_at, "items", item_at), item)
            for zone_at, zone in enumerate(self.zones)
            for item_at, item in enumerate(zone.items)
        ]


def _meant(name: str, known: Collection[str], what: str) -> str:
    near = get_close_matches(name, known, n=1)
    return f"did you mean '{near[0]}'?" if near else f"{what} here: {', '.join(known) or 'none'}"


def _repeated(what: str, ids: list[tuple[Location, str]]) -> Misfits:
    first: dict[str, Location] = {}
    return [
        Misfit(where, f"the {what} id '{name}' is used twice")
        for where, name in ids
        if first.setdefault(name, where) != where
    ]
