"""What a dry run shows: counts and reasons, however many jobs there are."""

import pytest
from project import Project, jobs_in


@pytest.fixture(scope="module")
def project(tmp_path_factory, repository):
    project = Project(tmp_path_factory.mktemp("project"), repository)
    for number in range(12):
        project.add_session(f"s{number:02}")
    return project


@pytest.fixture(scope="module")
def said(project):
    return project.snakemake("-n")


def test_many_new_sessions_are_a_summary(said):
    lines = said.splitlines()
    assert len(lines) < 50
    assert "s07" not in said
    assert jobs_in(said)["measure"] == 12
    assert "snakemake -n --workflow-profile none" in lines[-1]
    reasons = lines[lines.index("Reasons:") + 1 :]
    assert any("parse" in line for line in reasons)


def test_the_whole_list_is_there_where_it_is_said(project):
    said = project.snakemake("-n", "--workflow-profile", "none")
    assert "results/sessions/s07/metrics.parquet" in said


def test_photos_cost_no_jobs(project, said):
    for number in range(300):
        photo = project.folder / "inbox" / f"trip {number // 100}" / f"{number}.jpg"
        photo.parent.mkdir(exist_ok=True)
        photo.write_bytes(b"\xff\xd8\xff\xe0\0\x10JFIF\0")
    assert jobs_in(project.snakemake("-n")) == jobs_in(said)
