"""The figures as a table: in the terminal, and as Markdown in a README."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from rich.console import Console
from rich.table import Table

from handsfree.bench.errors import BenchError
from handsfree.bench.figures import Figures, Share, Times
from handsfree.bench.plan import HARDEST
from handsfree.bench.report import Report
from handsfree.shown import harmless

BEGIN, END = "<!-- bench:begin -->", "<!-- bench:end -->"
"""Between these two lines a file's table is written by the program."""

NOTHING = "-"
"""Where there was nothing to count."""

Row = tuple[str, ...]


def rows(report: Report) -> list[Row]:
    """The table: a heading, and then what is told of each column."""
    return [
        ("", *(column.name for column in report.columns)),
        _row(report, "right at first", lambda one: percent(one.right)),
        _row(report, "right within two", lambda one: percent(one.right_within_two)),
        _row(report, "false passes (95 % bound)", false_passes),
        (f"{HARDEST} alone, right at first", *_hardest(report)),
        _row(report, "findings, controls: median / p95", lambda one: seconds(one.findings_and_controls)),
        _row(report, "passes: median / p95", lambda one: seconds(one.passes)),
        _row(report, "wrong early decisions", lambda one: percent(one.early_and_wrong, digits=2)),
    ]


def below(report: Report) -> str:
    """What does not go into columns: costs, the machine, the seed."""
    cost = report.cost
    unfinished = "" if report.tried == report.planned else f" of {report.planned} planned (interrupted)"
    talk = "".join(
        f" In {one.hours:.1f} h of {one.name.removeprefix('all ')} to nobody: {one.passes} passes, "
        f"{one.accepted} phrases believed in all, {one.per_hour(one.asks):.1f} questions an hour."
        for one in report.chatter
        if one.name.startswith("all ")
    )
    return (
        f"{report.tried} answers{unfinished} by {len(report.voices)} synthetic voices, seed {report.settings.seed}, "
        f"{report.day}. Times are from the true end of speech to the decision. Hearing costs {cost.of_real_time:.2f} "
        f"of real time, at most {cost.work_p99_ms:.0f} ms for 99 of 100 stretches of 100 ms, {cost.memory_mb:.0f} MB; "
        f"on {report.machine}, {report.processes} at a time.{talk}"
    )


def as_markdown(report: Report) -> str:
    """The table and what is below it."""
    heading, *others = rows(report)
    lines = [heading, ("---", *("---:" for _ in heading[1:])), *others]
    return "\n".join(["| " + " | ".join(_plain(cell) for cell in line) + " |" for line in lines] + ["", below(report)])


def write_between_markers(file: Path, text: str) -> None:
    """Replace what stands between the two markers of a file.  Raises BenchError when they are not there."""
    try:
        whole = file.read_text(encoding="utf-8")
    except OSError as error:
        raise BenchError(f"{file} cannot be read ({error.strerror})", "check the file's name") from error
    before, begin, rest = whole.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end:
        raise BenchError(f"{file} has no place for the table", f"write the lines {BEGIN} and {END} where it belongs")
    file.write_text(f"{before}{BEGIN}\n{text}\n{END}{after}", encoding="utf-8")


def show(report: Report, console: Console) -> None:
    """Print it."""
    if report.tried:
        console.print(_as_rich(rows(report)))
    if report.recorded:
        one = report.recorded
        console.print(f"{one.tried} recordings: {percent(one.right)} right, {false_passes(one)} false passes")
    for line in below(report).split("\n"):
        console.print(harmless(line), markup=False, emoji=False)


def percent(share: Share, digits: int = 1) -> str:
    """A share in percent; nothing was counted = a dash."""
    return f"{100 * share.share:.{digits}f} %" if share.of else NOTHING


def interval(share: Share) -> str:
    """The interval of 95 % confidence, in percent."""
    return f"{100 * share.low:.1f} to {100 * share.high:.1f} %" if share.of else NOTHING


def false_passes(one: Figures) -> str:
    """How many of how many, and the upper end of the interval."""
    found = one.false_pass
    return f"{found.hits} of {found.of} (≤ {100 * found.high:.2f} %)" if found.of else NOTHING


def seconds(times: Times) -> str:
    """The median and what 95 of 100 do not exceed."""
    return NOTHING if times.median_s is None else f"{times.median_s:.2f} / {times.p95_s:.2f} s"


def _as_rich(lines: Sequence[Row]) -> Table:
    table = Table(box=None, pad_edge=False)
    for number, name in enumerate(lines[0]):
        table.add_column(name, justify="right" if number else "left")
    for line in lines[1:]:
        table.add_row(*line)
    return table


def _row(report: Report, name: str, cell: Callable[[Figures], str]) -> Row:
    return (name, *(cell(column) for column in report.columns))


def _hardest(report: Report) -> Sequence[str]:
    lines = {line.name: line for line in report.lines}
    hardest = (lines.get(f"{HARDEST} {column.name}") for column in report.columns)
    return [percent(line.right) if line else NOTHING for line in hardest]


def _plain(cell: str) -> str:
    return cell.replace("|", "\\|")
