"""Sessions that are left out of a run because nothing happened to them, and come back in."""

import json
import shutil

import pytest

ALL = {"first", "second"}


@pytest.fixture
def project(built, tmp_path):
    return built.copy(tmp_path / "project")


def kept(project):
    return json.loads((project.results / "settled.json").read_bytes())


def methods_of_jobs(project):
    return {job: note["method"] for job, note in kept(project)["notes"].items()}


def settled(project):
    return set(kept(project)["seals"])


def test_a_run_settles_every_session(project):
    assert settled(project) == ALL
    assert "Nothing has changed" in project.snakemake("results/sessions/first/ledger.json")
    assert settled(project) == ALL


def test_a_colour_settles_no_session_otherwise(project):
    before = kept(project)["seals"]
    project.edit("config/settings.yaml", "#0d70ee", "#0d70ef")
    project.snakemake()
    assert kept(project)["seals"] == before


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


def test_a_run_that_fails_before_it_decides_settles_nothing(project):
    project.edit("config/settings.yaml", "beats: 5", "beats: 4")
    project.snakemake("all", "results/nosuch.html", code=1)
    assert project.plan()["measure"] == 2


def take_away(project, *names):
    """What they held, by path."""
    taken = {project.results / name: (project.results / name).read_bytes() for name in names}
    for path in taken:
        path.unlink()
    return taken


def test_a_page_and_a_file_of_data_that_were_deleted_are_made_again(project):
    gone = take_away(project, "report/sessions/first.html", "report/data/courses/first.csv")
    assert project.plan() == {"session_page": 1, "data_part": 1}
    project.snakemake()
    assert {path: path.read_bytes() for path in gone} == gone


def test_tables_that_were_deleted_are_made_again(project):
    """Neither of the other; one that nothing else is made of is as much a result as a page is."""
    gone = take_away(project, "archive/courses/first.parquet", "archive/findings.parquet")
    project.snakemake()
    assert {path: path.read_bytes() for path in gone} == gone


def test_parts_that_are_no_more_go_with_the_report_and_a_folder_of_another_stays(project):
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
    (project.results / "report" / "data.html").unlink()
    project.snakemake("sessions")
    assert all(path.exists() for path in gone)
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
    now = methods_of_jobs(project), receipt.read_bytes()
    shutil.rmtree(project.results)
    shutil.copytree(tmp_path / "copy", project.results)
    assert receipt.read_bytes() != now[1]
    project.snakemake()
    assert (methods_of_jobs(project), receipt.read_bytes()) == now


def test_a_cluster_is_sent_only_shares_with_work(project):
    share = ("cluster", "--config", "sessions_a_share=1")
    assert project.plan(*share) == {"cluster": 1}
    project.add_session("third")
    assert project.plan(*share) == {"share": 1, "cluster": 1}
    assert project.plan(*share, "--forceall") == {"share": 3, "cluster": 1}
