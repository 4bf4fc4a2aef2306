"""How well Korean is heard at the items of the example: ``python -m tests.korean_trial`` (10 min) writes it down.

Every response and every defect that is listed at an item, at three paces, by the speaker of the tests, in quiet.
"""

from __future__ import annotations

from collections import Counter
from datetime import date
from functools import cache
from pathlib import Path

from demo.answering import blocks
from handsfree.book import Book
from handsfree.checklist.limits import limits_of
from handsfree.checklist.loading import load
from handsfree.checklist.models import Item
from handsfree.hearing.ears import Ears
from handsfree.hearing.recogniser import VoskRecogniser
from handsfree.language.heard import Heard
from handsfree.language.meaning import overall_outcome
from handsfree.language.phrase import Phrase
from handsfree.models_by_language import locate
from handsfree.walk.events import Expect
from tests.support.korean_speech import speak_korean
from tests.support.sounds import joined, quiet
from tests.test_another_language import FILE

PACES = (1.0, 1.15, 1.3)
DOCUMENT = Path(__file__).parents[1] / "docs" / "languages.md"
BEGIN, END = "<!-- korean -->", "<!-- korean: end -->"
VERDICTS = ("tries", "right", "another pass", "another finding", "asked about", "not heard", "taken for a pass",
            "taken for a good number", "taken for a bad number", "taken for a finding",
            "taken for a control")  # fmt: skip


def main() -> None:
    book, model, loaded = Book(load(FILE, "ko")), locate("ko").path, cache(VoskRecogniser)
    counts: Counter[tuple[str, str]] = Counter()
    before: str | None = None
    for item in book.checklist.items():
        vocabulary = book.listening.vocabulary(Expect("item", item.id, before))
        before = item.id
        said = [one for one in book.phrasebook.own_phrases(item) if one.meaning.outcome != "value"]
        for phrase in (*said, *book.phrasebook.general_phrases(item)):
            for pace in PACES:
                sound = joined(quiet(0.5), speak_korean(phrase.text, pace), quiet(1.6))
                heard = Ears(model, load=loaded).listen(blocks(sound), vocabulary, patience_s=4.0).heard
                counts[phrase.meaning.outcome, "tries"] += 1
                counts[phrase.meaning.outcome, _verdict(phrase, heard, item)] += 1
        print(item.id, {" ".join(key): count for key, count in sorted(counts.items())}, flush=True)
    text = DOCUMENT.read_text(encoding="utf-8")
    before_it, _, rest = text.partition(BEGIN)
    _, _, after_it = rest.partition(END)
    DOCUMENT.write_text(f"{before_it}{BEGIN}\n{_table(counts)}\n{END}{after_it}", encoding="utf-8")


def _table(counts: Counter[tuple[str, str]]) -> str:
    verdicts = [verdict for verdict in VERDICTS if any(counts[kind, verdict] for kind in ("pass", "finding"))]
    lines = ["| what was heard | good answers | defects |", "| --- | --: | --: |"]
    lines += [f"| {one} | {counts['pass', one]} | {counts['finding', one]} |" for one in verdicts]
    defects = counts["finding", "tries"]
    passed = counts["finding", "taken for a pass"] + counts["finding", "taken for a good number"]
    bound = 1 - 0.05 ** (1 / defects)  # Clopper-Pearson, one-sided, for none
    beyond = f" (95 % bound {bound:.2%})" if not passed else ""
    return "\n".join([*lines, "", f"{passed} of {defects} defects passed{beyond}. {date.today()}."])


def _verdict(phrase: Phrase, heard: Heard, item: Item) -> str:
    if heard.outcome == phrase.meaning.outcome:
        return "right" if phrase.meaning in heard.meanings else f"another {heard.outcome}"
    if heard.outcome == "value":
        judged = overall_outcome(map(limits_of(item).judged, heard.meanings))
        return "taken for a bad number" if judged == "finding" else "taken for a good number"
    return {"ask": "asked about", "none": "not heard"}.get(heard.outcome, f"taken for a {heard.outcome}")


if __name__ == "__main__":
    main()
