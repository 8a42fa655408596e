"""Seasons planned on a real Dask cluster: the same table as here, whatever happens to its workers."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduler.errors import UsageError
from scheduler.service import cluster as dask
from scheduler.service.one_of_many import installed
from scheduler.service.spreading import Lost, spread
from tests.club import LONG, planned_by_now, planning, write_club
from tests.command import budswell, environment, example, is_one_block
from tests.dask_cluster import Cluster, cluster
from tests.test_cli_many import rows

OTHER = "import scheduler; scheduler.__version__ = '0.0.9'"
NONE = "import sys; sys.modules['scheduler'] = None"


@pytest.fixture
def two(tmp_path: Path) -> Iterator[Cluster]:
    """A cluster of two workers."""
    with cluster(tmp_path / "cluster", 2) as found:
        yield found


def test_a_cluster_gives_the_same_table(two: Cluster, tmp_path: Path) -> None:
    """Weather, own figures, what stands and what is not right: all of it travels, and no path does."""
    place = tmp_path / "club"
    write_club(place, 2)
    for name in ("maritime", "second-spring", "too-late"):
        example(name, place)
    own = place / "grower-001" / "season.toml"
    figures = "\n[figures.shiitake.grain]\ndays = { low = 12, likely = 15, high = 20 }\n"
    own.write_text(own.read_text(encoding="utf-8") + figures, encoding="utf-8")
    there = budswell("plan-many", "club", "--cluster", two.address, "-o", "there.csv", cwd=tmp_path)
    assert there.code == 1, there.err
    assert there.err == ""
    assert there.out.startswith("5 seasons: 4 planned, 1 impossible\n")
    assert budswell("plan-many", "club", "-o", "here.csv", cwd=tmp_path).code == 1
    assert rows(tmp_path / "there.csv") == rows(tmp_path / "here.csv")


def test_a_worker_that_is_killed_stops_nothing(two: Cluster, tmp_path: Path) -> None:
    """What it had in hand goes to another one; one that comes later takes part."""
    write_club(tmp_path / "club", 8)
    running = planning(tmp_path, 1, "--cluster", two.address)
    for worker in two.workers:
        worker.kill()
    two.add_worker()
    out, err = running.communicate(timeout=LONG)
    assert (running.returncode, err) == (0, "")
    assert out.startswith("8 seasons: 8 planned\n")


def test_a_run_on_a_cluster_goes_on_after_ctrl_c(two: Cluster, tmp_path: Path) -> None:
    """Here or there: what was planned is known."""
    write_club(tmp_path / "club", 9)
    running = planning(tmp_path, 2, "--cluster", two.address)
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=LONG)
    assert (running.returncode, out) == (130, "")
    assert "Traceback" not in err
    assert "run the same again to go on" in err
    done = planned_by_now(tmp_path / "club.planned")
    assert 2 <= done < 9
    ended = budswell("plan-many", "club", "-o", "club.csv", cwd=tmp_path)
    assert f"9 seasons: 9 planned; {done} of them known from before" in ended.out


@pytest.mark.parametrize(("custom", "said"), [(OTHER, "has budswell 0.0.9"), (NONE, "No module named")])
def test_a_worker_with_something_else_is_refused(custom: str, said: str, tmp_path: Path) -> None:
    """Another version would plan otherwise: it is named before anything is planned."""
    write_club(tmp_path / "club", 1)
    site = tmp_path / "site"
    site.mkdir()
    (site / "sitecustomize.py").write_text(custom, encoding="utf-8")
    with cluster(tmp_path / "cluster", 0) as found:
        found.add_worker(PYTHONPATH=f"{site}:{environment()['PYTHONPATH']}")
        call = ("plan-many", "club", "--cluster", found.address, "-o", "club.csv")
        ended = budswell(*call, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert said in " ".join(ended.err.split())
    assert installed() in " ".join(ended.err.split())
    assert not (tmp_path / "club.planned").exists()


def test_a_cluster_that_is_not_there_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody at the address, no worker at it, and none any more: each in one sentence, and nothing waits on."""
    monkeypatch.setattr(dask, "ANSWERS_SECONDS", 0.5)
    monkeypatch.setattr(dask, "GONE_SECONDS", 0.5)
    with pytest.raises(UsageError, match="nobody answers"), dask.workers("tcp://127.0.0.1:9"):
        pass
    with cluster(tmp_path / "cluster", 0) as found:
        with pytest.raises(UsageError, match="no worker has joined"), dask.workers(found.address):
            pass
        monkeypatch.setattr(dask, "ANSWERS_SECONDS", LONG)
        found.add_worker()
        with dask.workers(found.address) as crew:
            assert dict(spread(double, enumerate([1, 2, 3]), crew)) == {0: 2, 1: 4, 2: 6}
            found.workers[0].kill()
            with pytest.raises(UsageError, match="no worker is left"):
                list(spread(double, enumerate([4]), crew))


def test_work_that_kills_its_workers_is_lost(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """After a few of them; others take up what comes next. What a worker cannot read is lost, too.

    One after the other: what waits at a worker that dies may be blamed for it.
    """
    monkeypatch.setattr(dask, "ANSWERS_SECONDS", LONG)
    with cluster(tmp_path / "cluster", 0) as found:
        for _ in range(2):
            found.add_worker("--nanny")
        with dask.workers(found.address) as crew:
            first = dict(spread(double, enumerate([1, 3, -2]), crew))
            killer = dict(spread(double, enumerate([-1]), crew))
            later = dict(spread(double, enumerate([4]), crew))
    assert first == {0: 2, 1: 6, 2: Lost("a worker could not take it up: ValueError: -2")}
    assert isinstance(killer[0], Lost)
    assert "memory" in killer[0].why
    assert later == {0: 8}


def double(number: int) -> int:
    """Something to do, or to fail in, or to die of."""
    if number == -1:
        import os

        os._exit(1)
    if number < 0:
        raise ValueError(number)
    return 2 * number
