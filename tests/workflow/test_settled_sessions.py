"""Sessions that are left out of a run because nothing happened to them, and come back in."""

import json
import shutil

import pytest
from project import Project

ALL = {"first", "second"}


@pytest.fixture(scope="module")
def built(tmp_path_factory, repository):
    project = Project(tmp_path_factory.mktemp("project"), repository)
    for name in sorted(ALL):
        project.add_session(name)
    project.snakemake()
    return project


@pytest.fixture
def project(built, tmp_path):
    return built.copy(tmp_path / "project")


def seals(project):
    return json.loads((project.results / "settled.json").read_bytes())["seals"]


def settled_methods(project):
    return {seal["method"] for seal in seals(project).values()}


def settled(project):
    return set(seals(project))


def test_a_run_settles_every_session(project):
    assert settled(project) == ALL
    assert "Nothing has changed" in project.snakemake("results/sessions/first/ledger.json")
    assert settled(project) == ALL


def test_a_forced_job_is_done_in_every_session(project):
    assert project.plan("--forcerun", "measure")["measure"] == 2
    assert project.plan("-R", "measure")["measure"] == 2
    assert project.plan("-F")["parse"] == 4


def test_a_table_that_is_gone_comes_back_with_the_next_session(project):
    lost = project.results / "sessions" / "first" / "metrics.parquet"
    before = lost.read_bytes()
    lost.unlink()
    project.snakemake()
    project.add_session("third")
    project.snakemake()
    assert lost.read_bytes() == before
    assert settled(project) == ALL | {"third"}


def test_a_page_that_was_edited_is_looked_at(project):
    page = project.results / "report" / "sessions" / "first.html"
    before = page.read_bytes()
    page.unlink()
    assert project.plan() == {"session_page": 1}
    project.snakemake()
    assert page.read_bytes() == before


def test_a_run_that_fails_before_it_decides_settles_nothing(project):
    project.edit("config/settings.yaml", "beats: 5", "beats: 4")
    project.snakemake("all", "results/nosuch.html", code=1)
    assert project.plan()["measure"] == 2


@pytest.mark.parametrize(
    "name",
    ["archive/courses/first.parquet", "archive/findings.parquet", "report/data/courses/first.csv"],
)
def test_a_table_that_was_deleted_is_made_again(project, name):
    """One that nothing else is made of again is as much a result as a page is."""
    gone = project.results / name
    before = gone.read_bytes()
    gone.unlink()
    project.snakemake()
    assert gone.read_bytes() == before


def test_a_part_that_is_no_more_stays_until_the_report_is_made(project):
    part = project.results / "archive" / "metrics" / "from-gone.parquet"
    receipt = project.results / "receipts" / "parts" / "from-gone"
    part.write_text("of a part that is no more")
    receipt.mkdir()
    (project.results / "report" / "data.html").unlink()
    project.snakemake("sessions")
    assert part.exists() and receipt.exists()
    project.snakemake()
    assert not part.exists() and not receipt.exists()


def test_a_folder_of_another_among_the_parts_is_left_alone(project):
    stranger = project.results / "parts" / "mine" / "export.csv"
    stranger.parent.mkdir()
    stranger.write_text("1")
    gone = [project.results / folder / "from-gone" for folder in ("parts", "receipts/parts")]
    for folder in gone:
        folder.mkdir()
    gone += [
        project.results / "archive" / "metrics" / "from-gone.parquet",
        project.results / "receipts" / "archive" / "episodes" / "from-gone.parquet.json",
    ]
    for file in gone[2:]:
        file.write_text("of a part that is no more")
    (gone[1].parent / ".note").write_text("of a program that looks into every folder")
    project.snakemake()
    assert stranger.exists()
    assert not any(path.exists() for path in gone)


def test_notes_that_cannot_be_read_cost_time_only(project):
    (project.results / "settled.json").write_text("{")
    assert project.plan() == {}
    project.snakemake()
    assert settled(project) == ALL


def test_results_put_back_from_a_copy_are_made_by_the_method_of_now(project, tmp_path):
    """Snakemake's own notes are of others by then."""
    shutil.copytree(project.results, tmp_path / "copy")
    project.edit("config/settings.yaml", "beats: 5", "beats: 4")
    project.snakemake()
    receipt = project.results / "receipts" / "sessions" / "first" / "metrics.parquet.json"
    now = settled_methods(project), receipt.read_bytes()
    shutil.rmtree(project.results)
    shutil.copytree(tmp_path / "copy", project.results)
    assert receipt.read_bytes() != now[1]
    project.snakemake()
    assert (settled_methods(project), receipt.read_bytes()) == now


def test_a_cluster_is_sent_only_shares_with_work(project):
    share = ("cluster", "--config", "sessions_a_share=1")
    assert project.plan(*share) == {"cluster": 1}
    project.add_session("third")
    assert project.plan(*share) == {"share": 1, "cluster": 1}
    assert project.plan(*share, "--forceall") == {"share": 3, "cluster": 1}
