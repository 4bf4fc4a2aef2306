"""The tables as Parquet give the same answers to others: to pyarrow, and to a cluster."""

from __future__ import annotations

import random
import stat
from collections import Counter
from pathlib import Path
from typing import Any, cast

import distributed
import pytest
from dask import dataframe
from pyarrow import parquet

from handsfree.archive.columns import TABLES
from handsfree.archive.errors import ArchiveError
from handsfree.archive.facts import facts_of
from handsfree.archive.parquet import write_tables
from handsfree.archive.questions import Missed, answers
from tests.archive.made import any_story

pq, dd, library = cast("Any", parquet), cast("Any", dataframe), cast("Any", distributed)  # they have no types
ITEMS = ("tyres", "pitot", "strut", "oil")


@pytest.fixture(scope="module")
def written(
    tmp_path_factory: pytest.TempPathFactory,
) -> tuple[Path, dict[str, list[tuple[Any, ...]]], tuple[Missed, ...]]:
    """Where the tables are, what is in them, and the items that are missed."""
    folder, chance = tmp_path_factory.mktemp("class"), random.Random(11)
    for number in range(40):
        any_story(chance, ITEMS, f"T{number % 4}", number // 4).write(folder / f"walk-{number:02d}")
    with facts_of(folder) as facts:
        write_tables(facts.database, folder / "tables")
        rows = {table: facts.database.rows(f"FROM {table} ORDER BY ALL") for table in TABLES}
        return folder / "tables", rows, answers(facts).items


def test_another_library_reads_the_same_rows(written: Any) -> None:
    folder, rows, _ = written
    for table, columns in TABLES.items():
        read = pq.read_table(folder / f"{table}.parquet")
        assert read.column_names == list(columns)
        assert sorted(map(repr, zip(*read.to_pydict().values(), strict=True))) == sorted(map(repr, rows[table]))


def test_another_library_counts_the_same(written: Any) -> None:
    folder, _, items = written
    trials = pq.read_table(folder / "trials.parquet").to_pylist()
    defects = Counter(one["item"] for one in trials if one["truth"] == "defect" and one["item"])
    missed = Counter(
        one["item"] for one in trials if one["truth"] == "defect" and one["outcome"] in {"miss", "omitted"}
    )
    found = {one.name: (one.defects, one.passed + one.omitted) for one in items if one.name in ITEMS}
    assert found == {item: (defects[item], missed[item]) for item in defects}


@pytest.mark.filterwarnings("ignore")  # of libraries
def test_a_cluster_gives_the_same_answer(written: Any) -> None:
    """As DEVELOPERS.md describes it."""
    folder, _, items = written
    with (
        library.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        library.Client(cluster),
    ):
        trials = dd.read_parquet(folder / "trials.parquet")
        defects = trials[(trials.truth == "defect") & (trials.item != "")]
        defects = defects.assign(missed=defects.outcome.isin(["miss", "omitted"]))
        counted = defects.groupby("item").missed.agg(["sum", "count"]).compute()
    found = {item: (int(row["count"]), int(row["sum"])) for item, row in counted.iterrows()}
    assert found == {one.name: (one.defects, one.passed + one.omitted) for one in items if one.name in ITEMS}


def test_files_are_the_owner_s_and_no_link_is_followed(written: Any, tmp_path: Path) -> None:
    precious = tmp_path / "precious"
    precious.write_text("precious")
    (tmp_path / "tables").mkdir()
    (tmp_path / "tables" / "walks.parquet").symlink_to(precious)
    with facts_of(written[0].parent) as facts:
        write_tables(facts.database, tmp_path / "tables")
    assert precious.read_text() == "precious"
    assert {one.name for one in (tmp_path / "tables").iterdir()} == {f"{table}.parquet" for table in (*TABLES, "logs")}
    for file in (tmp_path / "tables").iterdir():
        assert not file.is_symlink()
        assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_where_nothing_can_be_written_is_one_error(written: Any, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with facts_of(written[0].parent) as facts, pytest.raises(ArchiveError):
        write_tables(facts.database, tmp_path / "file")
