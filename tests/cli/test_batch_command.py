"""seamwise batch: every job of a directory planned, each into a folder of its own."""

from __future__ import annotations

import json

import pytest

from cli.batch import Row
from cli.main import main
from cli.site.overview import overview_html

PRICES = """\
key,kind,size,length,width,thickness,span,weight,price,pack,available,returnable,note
osb-7/16,sheet,4x8,95-7/8 in,47-7/8 in,7/16 in,24/16,45 lb,10.00,1,,yes,
drip-edge,stick,10 ft,10 ft,,,,3 lb,8.00,1,,yes,
nail-8d-common,each,5 lb box,,,,,5 lb,15.00,5000,,,
roofing-nail,each,1 lb box,,,,,1 lb,5.00,180,,,
"""


def shed(length: int) -> str:
    return (
        f'title = "Shed {length}"\nlength = "{length} ft"\nwidth = "8 ft"\npitch = 6\nprices = "prices.csv"\n'
    )


@pytest.fixture
def jobs(tmp_path):
    folder = tmp_path / "jobs"
    folder.mkdir()
    (folder / "prices.csv").write_text(PRICES, encoding="utf-8")
    for length in (8, 12):
        (folder / f"shed-{length}.toml").write_text(shed(length), encoding="utf-8")
    return folder


def written(folder):
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_every_job_has_a_line_and_a_folder(jobs, tmp_path, capsys):
    """What a job comes to is what it comes to alone; the page leads to each one's own."""
    assert main(["batch", str(jobs), "--out", str(tmp_path / "lists"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["jobs"]
    assert main(["plan", str(jobs / "shed-12.toml"), "--out", str(tmp_path / "alone")]) == 0
    alone = json.loads((tmp_path / "alone" / "plan.json").read_text(encoding="utf-8"))
    lists = written(tmp_path / "lists")

    assert [(row["job"], row["length"], row["proved"]) for row in told] == [
        ("shed-12.toml", "144", True),
        ("shed-8.toml", "96", True),
    ]
    assert told[0]["total"] == alone["total"]
    assert {name: lists[f"shed-12/{name}"] for name in written(tmp_path / "alone")} == written(
        tmp_path / "alone"
    )
    assert b'href="shed-8/site.html"' in lists["index.html"]
    assert lists["jobs.csv"].decode().splitlines()[1].startswith("shed-12.toml,Shed 12,144,96,in,")


def test_one_worker_or_two_write_the_same(jobs, tmp_path, capsys):
    """How many plan at a time changes no byte."""
    for workers in ("1", "2"):
        assert main(["batch", str(jobs), "--out", str(tmp_path / workers), "--workers", workers]) == 0

    assert written(tmp_path / "1") == written(tmp_path / "2")


def test_a_cluster_writes_the_same(jobs, tmp_path, capsys):
    """A scheduler of Dask plans the jobs on its own workers."""
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(1, processes=False, dashboard_address=None) as cluster:
        address = cluster.scheduler_address
        assert main(["batch", str(jobs), "--out", str(tmp_path / "there"), "--cluster", address]) == 0
    assert main(["batch", str(jobs), "--out", str(tmp_path / "here"), "--workers", "1"]) == 0

    assert written(tmp_path / "there") == written(tmp_path / "here")


def test_a_job_that_is_wrong_leaves_the_others(jobs, tmp_path, capsys):
    """Its line says why; the exit code is that of a wrong job; nothing is written of it."""
    (jobs / "wrong.toml").write_text('length = "8 ft"\nwidht = "8 ft"\n', encoding="utf-8")
    (jobs / "steep.toml").write_text(shed(8) + 'rules = "windy"\nrule.shortest = "20 ft"\n', encoding="utf-8")
    assert main(["batch", str(jobs), "--out", str(tmp_path / "lists")]) == 2
    printed, complained = capsys.readouterr()

    assert "did you mean width?" in printed
    assert "2 of 4 jobs not planned: steep.toml, wrong.toml" in complained
    assert (tmp_path / "lists" / "shed-8" / "plan.json").exists()
    assert not (tmp_path / "lists" / "wrong").exists()


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda folder: None, "there is no such directory"),
        (lambda folder: folder.write_text("x"), "this is a file; name a directory of job files"),
        (lambda folder: folder.mkdir(), "there is no job file (*.toml)"),
    ],
)
def test_what_is_no_directory_of_jobs_is_named(tmp_path, capsys, make, told):
    """Exit code 2 and what would be right."""
    make(tmp_path / "sheds")

    assert main(["batch", str(tmp_path / "sheds")]) == 2
    assert told in capsys.readouterr().err


def test_a_title_is_text_and_no_markup():
    """Whatever a job is called, the page shows it as it is typed."""
    page = overview_html([Row("a b.toml", title="<b>Shed</b> & co", length=1, width=1)])

    assert "&lt;b&gt;Shed&lt;/b&gt; &amp; co" in page
    assert 'href="a%20b/site.html"' in page
