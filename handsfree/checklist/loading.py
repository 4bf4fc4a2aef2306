"""A YAML file into a checklist, or another model of ours, or into problems that each name file, line and field."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Callable, Generator, Iterable, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar, cast, get_args

from pydantic import BaseModel, ValidationError

from handsfree.checklist.examples import EXAMPLES
from handsfree.checklist.formats import NewerFormatError, brought_up
from handsfree.checklist.marked_yaml import IN_QUOTES, MOST_BYTES, MarkedYamlError, Node, read_marked
from handsfree.checklist.models import ATA_PATTERN, IDENTIFIER_PATTERN, RULE_PATTERN, Checklist, Misfits
from handsfree.checklist.problems import ChecklistError, Location, Mend, Problem, ProblemLevel, field_name, whole_file
from handsfree.checklist.translations import FIELD, Untranslated, in_language, languages_of, untranslated_texts
from handsfree.shown import shortened

ModelT = TypeVar("ModelT", bound=BaseModel)
MOST_TOLD = 100
"""Problems of one file: whoever has so many mends some first."""


def load(path: Path, language: str = "") -> Checklist:
    """Read a checklist in one of its languages, the first unless given.

    Raises ChecklistError with every problem that was found.
    """
    return read(path, language).checklist


@dataclass(frozen=True, slots=True)
class Source:
    """A checklist with the file that it came from."""

    checklist: Checklist
    path: Path
    root: Node
    """The file's values with their lines."""

    def placed(self, problems: Iterable[Problem]) -> list[Problem]:
        """The problems with file, line and column filled in: errors first, each level in the order of the file."""
        return in_order(placed(problem, self.path, self.root) for problem in problems)


def read(path: Path, language: str = "") -> Source:
    """Read a checklist and keep its lines.  Raises ChecklistError with every problem that was found."""
    checklist, root = parsed(path, Checklist, "checklist", lambda root: in_language(root, language))
    return Source(checklist, path, root)


def languages(path: Path) -> tuple[str, ...]:
    """The languages of a checklist's file, the usual one first.  Raises ChecklistError."""
    root = _marked(path, "checklist")
    with _told(path, root):
        return languages_of(root)


def untranslated(path: Path) -> list[Problem]:
    """Texts of a checklist that are the same in all its languages.  Raises ChecklistError."""
    root = _marked(path, "checklist")
    with _told(path, root):
        found = list(untranslated_texts(root))
    data = root.plain()
    return [placed(replace(one, field=field_name(one.where, data)), path, root) for one in found]


def parsed(
    path: Path, model: type[ModelT], what: str, chosen: Callable[[Node], Node] = lambda root: root
) -> tuple[ModelT, Node]:
    """A YAML file as a model, with its lines; ``what`` names it to its author.

    ``chosen`` gives of its values those that count, and may raise Untranslated.
    Raises ChecklistError with every problem that was found.
    """
    root = _marked(path, what)
    with _told(path, root):
        root = chosen(root)
    try:
        data = brought_up(root.plain())
    except NewerFormatError as error:
        newer = Problem(str(error), ("format",), field="format", hint="update the program", code="schema")
        raise ChecklistError([placed(newer, path, root)]) from error
    try:
        # By alias only: the file says 'pass', as the published schema does, and nothing else.
        made = model.model_validate(data, by_alias=True, by_name=False)
    except ValidationError as error:
        details = cast("list[_Detail]", error.errors(include_url=False))
        problems = [problem for detail in details[:MOST_TOLD] for problem in _problems(detail, root, model)][:MOST_TOLD]
        named = [_cut(replace(problem, field=field_name(problem.where, data), code="schema")) for problem in problems]
        rest = len(details) - MOST_TOLD
        more = [Problem(f"and {rest} more problems", code="schema", file=str(path))] if rest > 0 else []
        raise ChecklistError([*in_order(placed(problem, path, root) for problem in named), *more]) from error
    return made, root


def _marked(path: Path, what: str) -> Node:
    """The values of a file with their lines; it has fields.  Raises ChecklistError."""
    text = _text(path, what)
    try:
        root = read_marked(text)
    except MarkedYamlError as error:
        problem = Problem(
            error.message, code="yaml", hint=error.hint, file=str(path), line=error.line, column=error.column
        )
        raise ChecklistError((problem,)) from error
    if root is None or (root.fields is None and root.items is None and not root.written):
        raise whole_file(path, "file", "the file is empty", f"begin with 'format: 1'; see the shipped {what}s")
    if root.fields is None:
        raise whole_file(path, "file", f"this is no {what}: it must begin with fields such as 'format: 1'")
    return root


@contextmanager
def _told(path: Path, root: Node) -> Generator[None]:
    """What is wrong with the languages of a file, as errors of the checklist."""
    try:
        yield
    except Untranslated as error:
        data = root.plain()
        named = [_cut(replace(one, field=field_name(one.where, data))) for one in error.problems[:MOST_TOLD]]
        raise ChecklistError(in_order(placed(one, path, root) for one in named)) from error


def _cut(problem: Problem) -> Problem:
    """A problem that can be read, whatever stands in the file."""
    message, field, hint = (shortened(text) for text in (problem.message, problem.field, problem.hint))
    return replace(problem, message=message, field=field, hint=hint)


def placed(problem: Problem, path: Path, root: Node) -> Problem:
    """A problem with its file, line and column."""
    line, column = root.place(problem.where)
    return replace(problem, file=str(path), line=line, column=column)


def in_order(problems: Iterable[Problem]) -> list[Problem]:
    """Errors first, each level in the order of the file."""
    levels = get_args(ProblemLevel)
    return sorted(problems, key=lambda one: (levels.index(one.level), one.line, one.column))


def _text(path: Path, what: str) -> str:
    try:
        if path.is_dir():
            raise whole_file(path, "file", f"this is a folder, not a {what}", "name one .yaml file in it")
        if path.exists() and not path.is_file():  # a pipe or a device may never end
            raise whole_file(path, "file", "this is not a file", "name a .yaml file")
        if path.stat().st_size > MOST_BYTES:
            raise whole_file(path, "file", f"the file is larger than {MOST_BYTES // 1000} kB: no {what} is")
        raw = path.read_bytes()
    except FileNotFoundError as error:
        raise whole_file(path, "file", "there is no such file", "check the path") from error
    except OSError as error:
        raise whole_file(path, "file", f"the file cannot be read: {error.strerror}") from error
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        line, column = before.count(b"\n") + 1, error.start - (before.rfind(b"\n") + 1) + 1
        message = "the file is not UTF-8 text"
        hint = "save it as UTF-8"
        problem = Problem(message, code="file", hint=hint, file=str(path), line=line, column=column)
        raise ChecklistError((problem,)) from error


# What pydantic found, said for the person who edits the file.

_Detail = Mapping[str, Any]

_PATTERNS = {
    IDENTIFIER_PATTERN: "lower-case words joined by hyphens, such as 'nose-tyres'",
    ATA_PATTERN: 'an ATA chapter: two digits in quotes, such as "32"',
    RULE_PATTERN: "one rule of a grammar, such as '<findings.cut>'",
}
_SHAPES = {
    "model_type": "a group of fields",
    "model_attributes_type": "a group of fields",
    "dict_type": "a group of fields",
    "tuple_type": "a list",
    "string_type": "text",
    "float_type": "a number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "bool_type": "true or false",
}


_YES_OR_NO = {"yes": "true", "on": "true", "no": "false", "off": "false"}
_LISTS_OF_TEXT = frozenset({"pass", "say", "spoken", "cautions", "covers", "asked_by", "fluids"})
_MEANS_MORE_IN_A_LIST = frozenset(",[]{}\"'")


def _problems(detail: _Detail, root: Node, model: type[BaseModel]) -> list[Problem]:
    """One pydantic error as problems; our own checks report several at once, each with its way from there."""
    where: Location = tuple(detail["loc"])
    if detail["type"] == "misfit":
        misfits: Misfits = detail["ctx"]["misfits"]
        return [Problem(one.message, where=where + one.where, hint=one.hint) for one in misfits]
    if detail["type"] == "too_short" and (node := root.find(where)) and node.items:
        return []  # the list has entries, and what is wrong with them is told by itself
    return [_problem(detail, where, root, model)]


def _problem(detail: _Detail, where: Location, root: Node, model: type[BaseModel]) -> Problem:
    match detail["type"]:
        case "extra_forbidden":
            return _unknown_field(where, model)
        case "missing":
            hint = f"such as  {example}" if (example := _example(where, model)) else ""
            return Problem(f"the field '{where[-1]}' is missing here", where=where, hint=hint)
        case "string_pattern_mismatch":
            return _wrong_pattern(where, detail)
        case "literal_error":
            return _wrong_choice(where, detail, root)
        case kind if kind in _SHAPES:
            return _wrong_shape(where, kind, root, model)
        case _:
            return Problem(detail["msg"][:1].lower() + detail["msg"][1:], where=where)


def _wrong_pattern(where: Location, detail: _Detail) -> Problem:
    pattern, text = detail["ctx"]["pattern"], str(detail["input"])
    hint = f"write {rule}" if pattern == RULE_PATTERN and (rule := _as_rule(text)) else ""
    return Problem(
        f"'{text}' is not {_PATTERNS[pattern]}", where=where[:-1] if where[-1] == "[key]" else where, hint=hint
    )


def _as_rule(text: str) -> str:
    """The name of a rule that a text may mean: ``flat spot`` is ``<findings.flat_spot>``; empty when it is none."""
    name = re.sub(r"[^a-z_.]+", "_", text.strip("<> ").lower())
    rule = f"<{name}>" if "." in name else f"<findings.{name}>"
    return rule if re.fullmatch(RULE_PATTERN, rule) else ""


def _unknown_field(where: Location, whole: type[BaseModel]) -> Problem:
    name, known = str(where[-1]), _known_fields(where[:-1], whole)
    near = difflib.get_close_matches(name, known, n=1)
    hint = f"did you mean '{near[0]}'?" if near else f"known here: {', '.join(known)}"
    return Problem(f"there is no field '{name}' here", where=where, hint=hint)


def _wrong_shape(where: Location, kind: str, root: Node, whole: type[BaseModel]) -> Problem:
    node, hint, mend = root.find(where), "", None
    if kind == "string_type" and node and node.fields is not None and len(node.fields) == 1:
        hint = IN_QUOTES
    elif kind == "string_type" and node and node.items is None and node.written:
        hint = f'put it in quotes: "{node.written}"'
        mend = _mend(node, f'"{node.written}"')
    elif kind == "tuple_type" and node and node.fields is None and node.written:
        hint = f"write {_in_list(node)}, or one a line with '- ' before each"
        one_text = isinstance(node.scalar, str) and "," not in node.written and where[-1] in _LISTS_OF_TEXT
        mend = _mend(node, _in_list(node)) if one_text else None
    elif kind == "bool_type" and node and node.written.lower() in _YES_OR_NO:
        hint = f"write {_YES_OR_NO[node.written.lower()]}"
        mend = _mend(node, _YES_OR_NO[node.written.lower()])
    elif kind.startswith("model") and node and node.written and where[-2:-1] == ("findings",):
        hint = _as_finding(node.written)
    elif example := _example(where, whole):
        hint = f"such as  {example}"
    return Problem(f"this must be {_SHAPES[kind]}, not {_shape_of(node)}", where=where, hint=hint, mend=mend)


def _mend(node: Node, new: str) -> Mend:
    """Something else in the place of a scalar; where its text is not all that stands there, it will not be done."""
    return Mend(node.line, node.column, f"{node.quote}{node.written}{node.quote}", new)


def _in_list(node: Node) -> str:
    """A scalar as a list of one."""
    plain = not node.quote and _MEANS_MORE_IN_A_LIST.isdisjoint(node.written)
    return f"[{node.written}]" if plain else f"[{json.dumps(node.written, ensure_ascii=False)}]"


def _as_finding(text: str) -> str:
    """A finding's two forms, for a text that stands in its place."""
    name = re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")
    own = f"{{id: {name}, say: [{text}]}}"
    rule = _as_rule(text)
    return f"write {{use: {rule}}}, or in own words {own}" if rule else f"write {own}"


def _shape_of(node: Node | None) -> str:
    match node:
        case Node(fields=dict()):
            return "a group of fields"
        case Node(items=list()):
            return "a list"
        case None | Node(scalar=None):
            return "nothing"
        case Node(scalar=str()):
            return f"the text '{node.written}'"
        case Node():
            return node.written


def _wrong_choice(where: Location, detail: _Detail, root: Node) -> Problem:
    choices = [choice.strip(" '") for choice in detail["ctx"]["expected"].replace(" or ", ", ").split(", ")]
    node, given = root.find(where), str(detail["input"])
    near = difflib.get_close_matches(given.lower(), choices, n=1)
    hint = f"did you mean '{near[0]}'?" if near else ""
    mend = _mend(node, given.lower()) if node and node.written and given.lower() in choices else None
    written = json.dumps(detail["input"], default=str)
    return Problem(f"{written} is not one of: {', '.join(choices)}", where=where, hint=hint, mend=mend)


def _example(where: Location, whole: type[BaseModel]) -> str:
    """How a field of a checklist is written; empty where that is not told."""
    model = _model_at(where[:-1], whole)
    return EXAMPLES.get(f"{model.__name__}.{where[-1]}", "") if model else ""


def _known_fields(where: Location, whole: type[BaseModel]) -> list[str]:
    """The names that a file may use at a location."""
    model = _model_at(where, whole)
    names = [field.alias or name for name, field in model.model_fields.items()] if model else []
    return [FIELD if model is Checklist and name == "language" else name for name in names]


def _model_at(where: Location, whole: type[BaseModel]) -> type[BaseModel] | None:
    """The model at a location, found by following the models from that of the whole."""
    model: type[BaseModel] | None = whole
    for step in where:
        if model and isinstance(step, str):
            names = {field.alias or name: field for name, field in model.model_fields.items()}
            model = _model_in(names[step].annotation) if step in names else None
    return model


def _model_in(annotation: object) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in get_args(annotation) if (found := _model_in(part))), None)
