"""All grammars of a folder, checked as a whole; and phrases that refer to their rules."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from handsfree.language.errors import GrammarError
from handsfree.language.expansion import Expansion
from handsfree.language.jsgf_reader import read_expansion, read_grammar_file
from handsfree.language.jsgf_tree import (
    Alternatives,
    GrammarFile,
    Named,
    Node,
    Optional,
    Place,
    Ref,
    Repeat,
    Rule,
    Sequence,
    Tagged,
    Token,
)
from handsfree.language.spelling import Lexicon, recognised_form
from handsfree.language.tongue import ENGLISH, FILE_NAME, load_tongue

_ALIKE: Final = 0.6
"""Of 1, how alike a name must be to that of a rule to be taken for a slip."""
_DEEPEST: Final = 12
"""Rules inside rules: deeper chains are taken for a mistake."""


class Grammars:
    """Grammars that may refer to each other, and the lexicon that spells their words for the recogniser."""

    def __init__(self, files: Iterable[GrammarFile], lexicon: Lexicon | None = None) -> None:
        """Resolve every rule of every file.  Raises GrammarError at the first thing that is wrong."""
        self.lexicon = lexicon or Lexicon()
        self._files: dict[str, GrammarFile] = {}
        self._rules: dict[tuple[str, str], Rule] = {}
        self._resolved: dict[tuple[str, str], Node] = {}
        for file in files:
            self._register(file)
        for grammar, file in self._files.items():
            self._check_imports(file)
            for rule in file.rules:
                self._resolve_rule(grammar, rule, ())

    @classmethod
    def load(cls, folder: Path) -> Grammars:
        """Read all ``.jsgf`` files of a folder, and its ``lexicon.yaml`` and ``language.toml`` if they are there.

        Without ``language.toml`` the language is English.  Raises GrammarError.
        """
        paths = sorted(folder.glob("*.jsgf"))
        if not paths:
            raise GrammarError(str(folder), 1, 1, "there is no .jsgf file in this folder")
        lexicon_file = folder / "lexicon.yaml"
        tongue = load_tongue(folder / FILE_NAME) if (folder / FILE_NAME).exists() else ENGLISH
        lexicon = Lexicon.load(lexicon_file, tongue) if lexicon_file.exists() else Lexicon(tongue=tongue)
        return cls(map(read_grammar_file, paths), lexicon)

    def expansion(self, text: str) -> Expansion:
        """Parse a JSGF rule expansion; references are qualified (``<findings.cut>``) and to public rules.

        Raises GrammarError with the file ``phrase`` and the line and column inside the text.
        """
        pattern = self._resolve(read_expansion(text), "", (), Place("phrase", 1, 1))
        return Expansion(text, pattern, self.lexicon)

    def public_rules(self) -> tuple[str, ...]:
        """Qualified names of the rules that a phrase may refer to, in the order of files and rules."""
        return tuple(f"{grammar}.{rule.name}" for (grammar, _), rule in self._rules.items() if rule.public)

    def _register(self, file: GrammarFile) -> None:
        if file.name in self._files:
            other = self._files[file.name].file
            raise GrammarError(file.file, 1, 1, f"the grammar name '{file.name}' is taken by {other}")
        self._files[file.name] = file
        for rule in file.rules:
            if (file.name, rule.name) in self._rules:
                raise _error(rule.place, f"<{rule.name}> is defined twice")
            self._rules[file.name, rule.name] = rule

    def _check_imports(self, file: GrammarFile) -> None:
        for one in file.imports:
            if one.grammar not in self._files:
                raise _error(one.place, f"there is no grammar '{one.grammar}' to import from")
            if one.rule != "*":
                self._public(one.grammar, one.rule, one.place)

    def _public(self, grammar: str, name: str, place: Place) -> Rule:
        rule = self._rules.get((grammar, name))
        if rule is None:
            known = [rule for home, rule in self._rules if home == grammar]
            near = get_close_matches(name, known, n=1, cutoff=_ALIKE)
            meant = f"; did you mean <{grammar}.{near[0]}>?" if near else ""
            raise _error(place, f"the grammar '{grammar}' has no rule <{name}>{meant}")
        if not rule.public:
            raise _error(place, f"<{grammar}.{name}> is not public")
        return rule

    def _resolve_rule(self, grammar: str, rule: Rule, above: tuple[str, ...]) -> Node:
        key = (grammar, rule.name)
        if key not in self._resolved:
            inside = (*above, f"{grammar}.{rule.name}")
            self._resolved[key] = self._resolve(rule.body, grammar, inside, rule.place)
        return self._resolved[key]

    def _resolve(self, node: Node, grammar: str, above: tuple[str, ...], place: Place) -> Node:
        """The pattern with rule bodies in the place of references; ``above`` are the rules being resolved."""
        match node:
            case Ref():
                return self._referred(node, grammar, above)
            case Sequence(items) | Alternatives(items):
                return replace(node, items=tuple(self._resolve(item, grammar, above, place) for item in items))
            case Optional() | Repeat() | Tagged():
                return replace(node, item=self._resolve(node.item, grammar, above, place))
            case Token(text):
                if not recognised_form(text, self.lexicon):
                    raise _error(place, f"'{text}' is no word that can be spoken")
                return node
            case _:
                return node

    def _referred(self, ref: Ref, grammar: str, above: tuple[str, ...]) -> Node:
        home, rule = self._find(ref, grammar)
        name = f"{home}.{rule.name}"
        if name in above:
            circle = " → ".join(f"<{one}>" for one in (*above[above.index(name) :], name))
            raise _error(ref.place, f"a rule may not contain itself: {circle}")
        if len(above) > _DEEPEST:
            raise _error(ref.place, f"rules are nested more than {_DEEPEST} deep")
        return Named(name, self._resolve_rule(home, rule, above), rule.place)

    def _find(self, ref: Ref, grammar: str) -> tuple[str, Rule]:
        """The grammar and rule that a reference means: a local rule first, then an imported one."""
        if (grammar, ref.name) in self._rules:
            return grammar, self._rules[grammar, ref.name]
        home, dot, name = ref.name.rpartition(".")
        if dot:
            return self._find_qualified(ref, home, name, grammar)
        homes = self._imported_from(ref.name, grammar)
        if not homes:
            known = f"this grammar and its imports have no rule <{ref.name}>"
            raise _error(
                ref.place, known if grammar else f"write <grammar.{ref.name}>: a phrase has no rules of its own"
            )
        if len(homes) > 1:
            raise _error(ref.place, f"<{ref.name}> is imported from {' and '.join(homes)}: write <grammar.{ref.name}>")
        return homes[0], self._public(homes[0], ref.name, ref.place)

    def _find_qualified(self, ref: Ref, home: str, name: str, grammar: str) -> tuple[str, Rule]:
        """``<com.example.numbers.digit>`` or, short, ``<numbers.digit>``."""
        if home == grammar:
            return home, self._public_or_own(home, name, ref.place)
        full = [one for one in self._files if one == home] or [one for one in self._files if one.endswith(f".{home}")]
        if not full:
            raise _error(ref.place, f"there is no grammar '{home}' for <{ref.name}>")
        if len(full) > 1:
            raise _error(ref.place, f"<{ref.name}> may mean {' or '.join(full)}")
        return full[0], self._public(full[0], name, ref.place)

    def _public_or_own(self, grammar: str, name: str, place: Place) -> Rule:
        return self._rules.get((grammar, name)) or self._public(grammar, name, place)

    def _imported_from(self, name: str, grammar: str) -> list[str]:
        imports = self._files[grammar].imports if grammar else ()
        homes = [
            one.grammar
            for one in imports
            if one.rule == name
            or (one.rule == "*" and (rule := self._rules.get((one.grammar, name))) is not None and rule.public)
        ]
        return list(dict.fromkeys(homes))


def _error(place: Place, message: str) -> GrammarError:
    return GrammarError(place.file, place.line, place.column, message)
