"""An archive that an earlier version made, after the upgrade: it is known as such, and computed
again, and nothing that was published is lost."""

import shutil
import subprocess

import pytest
from project import Project

# Any commit of before; what its version made must outlive it.
EARLIER = "32e9e24e252bb3c9fb54e66efad61c2d8904759a"
PROGRAM = ("Snakefile", "workflow", "profiles", "src", "pyproject.toml", "requirements")


@pytest.fixture
def upgraded(tmp_path, repository):
    """A project of the version of now, with the results of an earlier one, and its editions."""
    packed = subprocess.run(
        ["git", "archive", EARLIER], cwd=repository, capture_output=True, check=False
    )
    if packed.returncode:
        pytest.skip("no history of this repository found: no upgrade is tested")
    before = tmp_path / "before"
    before.mkdir()
    subprocess.run(["tar", "-x", "-C", before], input=packed.stdout, check=True)
    (tmp_path / "project").mkdir()
    project = Project(tmp_path / "project", before)
    for name in ("s-1", "s-2"):
        project.add_session(name)
    project.snakemake()
    for name in PROGRAM:
        place, now = project.folder / name, repository / name
        if now.is_dir():
            shutil.rmtree(place)
            shutil.copytree(now, place)
        else:
            shutil.copy(now, place)
    editions = project.results / "editions"
    kept = {p: p.read_bytes() for p in editions.rglob("*") if p.is_file() and p.parent != editions}
    return project, kept


def test_nothing_is_lost(upgraded):
    project, kept = upgraded
    said = " ".join(project.command("strapline", "verify").split())
    assert "earlier version of Strapline or of a library, and not changed since" in said
    assert "nothing was changed" in said
    said = project.snakemake("-n")
    assert "made by an earlier version of Strapline: " in said
    assert "will be recomputed for 2 sessions" in said
    project.snakemake()
    assert kept and all(path.read_bytes() == content for path, content in kept.items())
    said = project.command("strapline", "verify")
    assert "earlier version" not in said and "nothing was changed" in said
