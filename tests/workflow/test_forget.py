"""A session that left the inbox is forgotten: whole, with nothing else, and the archive holds."""

import base64
import io

import pytest
from project import Project

from strapline.ground.tables.editions import PUBLISHED
from strapline.keeping.editions.history import kept
from strapline.running.commands import main
from strapline.running.run_lock import hold

GONE, KEPT = "2026-03-01-ride-june", "2026-03-02-run"
FOLDER, ADDRESS = "2026-03-01 ride June", "2026-03-01-ride"
CARD = """
wearer: june
recordings:
  - {file: strap.csv, device: strap, role: reference}
  - {file: watch.csv, device: watch}
"""
# Read again from a copy of the inbox, whose files have other times.
HEADS = "results/heads.json"
MOVED = ("archive/changes.parquet", "report/changes.html")


@pytest.fixture(scope="module")
def made(with_looks, tmp_path_factory, repository):
    """Two sessions, published and packaged."""
    project = Project(with_looks(tmp_path_factory.mktemp("made")), repository)
    for name in (FOLDER, "2026-03-02 run"):
        project.add_session(name)
        (project.folder / "inbox" / name / "session.yaml").write_text(CARD)
    project.publish_one_picture()
    project.snakemake("all", "publish")
    where = ["--results", str(project.results), "--inbox", str(project.folder / "inbox")]
    for session in (GONE, KEPT):
        assert main(["package", session, *where]) == 0
    return project


@pytest.fixture
def project(made, tmp_path, monkeypatch):
    copy = made.copy(tmp_path / "project")
    monkeypatch.chdir(copy.folder)
    return copy


def take_out(project):
    (project.folder / "inbox" / FOLDER).rename(project.folder / "elsewhere")


def state(project):
    """Every file, and what it holds."""
    return {
        path.relative_to(project.folder).as_posix(): path.read_bytes()
        for path in project.folder.rglob("*")
        if path.is_file() and path.name != ".run" and "__pycache__" not in path.parts
    }


def naming(project, session):
    """The files under results that name a session, in their path or in what they hold, and
    Snakemake's notes of its files."""
    kept = ("results/editions/", "results/packages/", "elsewhere/", ".snakemake/")
    found = {
        name
        for name, content in state(project).items()
        if name.startswith("results/")
        if session in name or session.encode() in content
    }
    notes = (project.folder / ".snakemake" / "metadata").iterdir()
    noted = {base64.urlsafe_b64decode(path.name).decode() for path in notes}
    return {n for n in found if not n.startswith(kept)} | {n for n in noted if session in n}


def published(project, without=None):
    """What each edition says, in their order, but of one session."""
    history = project.results / "editions"
    folders = [history / each.folder for each in kept(history)]
    files = ([f / "published.parquet", *sorted(f.glob("parts/*.parquet"))] for f in folders)
    frames = (PUBLISHED.read(own).astype({"session": str}) for own in files)
    return [frame[frame["session"] != without].to_csv(index=False) for frame in frames]


def test_a_session_in_the_inbox_is_not_forgotten(project, capsys):
    before = state(project)
    assert main(["forget", GONE]) == 2
    assert f"Move inbox/{FOLDER} out of it first. Nothing changed." in capsys.readouterr().err
    assert main(["forget", "2026-03-01-ride"]) == 2
    assert f"Did you mean '{GONE}'?" in capsys.readouterr().err
    (project.folder / "inbox").rename(project.folder / "mounted elsewhere")
    assert main(["forget", GONE]) == 2
    assert "There is no folder inbox" in capsys.readouterr().err
    (project.folder / "mounted elsewhere").rename(project.folder / "inbox")
    assert state(project) | {HEADS: before[HEADS]} == before


def test_nothing_is_forgotten_while_a_run_is_at_work(project, capsys):
    take_out(project)
    before = state(project)
    with hold(project.results):
        assert main(["forget", GONE]) == 2
    assert "Another run is at work" in capsys.readouterr().err
    assert state(project) == before


def test_a_session_that_left_is_forgotten_after_a_run(project, capsys):
    take_out(project)
    closing = project.snakemake()
    assert f"  strapline forget {GONE}\n" in closing
    pages = project.results / "report" / "sessions"
    assert sorted(path.name for path in pages.iterdir()) == [
        f"{KEPT}{ending}" for ending in (".figures.json", ".html", ".origin.html", ".seconds.js")
    ]
    assert main(["verify"]) == 1
    assert "`strapline forget` and its name" in capsys.readouterr().out.replace("\n", " ")
    others = {name: content for name, content in state(project).items() if GONE not in name}

    assert main(["forget", GONE]) == 0
    said = capsys.readouterr().out
    assert said.startswith(f"{GONE} is forgotten: ") and "Not deleted" not in said
    assert f"results/packages/{GONE}.zip stays." in said and "stays in editions 1 and 2. " in said
    assert "Now type" not in said
    assert main(["verify"]) == 0
    # They tell what moved since the last edition.
    assert naming(project, GONE) == {f"results/{name}" for name in MOVED}
    left = state(project)
    noted = (".snakemake/", HEADS)
    noted += ("results/settled.json", "results/raw_files.json", "results/told.json")
    # Its pages are about all sessions.
    noted += ("results/publish/site/", "results/receipts/publish/site.json")
    own = (f"results/publish/sessions/{ADDRESS}", f"results/receipts/publish/sessions/{ADDRESS}")
    assert [name for name in others if name.startswith(own)]
    assert not [name for name in left if name.startswith(own)]
    for name, content in others.items():
        assert name.startswith((*noted, *own)) or left[name] == content
    assert main(["forget", GONE]) == 2
    assert f"There are: {KEPT}." in capsys.readouterr().err
    assert main(["forget", GONE, "--packages", "--from-editions", "--yes"]) == 0
    assert not (project.results / "packages" / f"{GONE}.zip").exists()
    assert main(["forget", GONE, "--packages", "--from-editions", "--yes"]) == 2
    assert [edition.number for edition in kept(project.results / "editions")] == [1, 2]
    assert naming(project, GONE) == set()
    closing = project.snakemake()
    assert "Changed since Strapline wrote it" not in closing and "Missing" not in closing
    assert main(["verify"]) == 0


def test_a_folder_that_is_no_session_any_more_can_be_forgotten(project):
    for file in (project.folder / "inbox" / FOLDER).iterdir():
        file.unlink()
    (project.folder / "inbox" / FOLDER / "start.jpg").write_bytes(b"\xff\xd8\xff\xe0")
    assert f"strapline forget {GONE}" in project.snakemake()
    assert main(["forget", GONE]) == 0
    assert main(["verify"]) == 0


def test_a_session_is_forgotten_before_the_next_run_with_all_that_is_kept(
    project, capsys, monkeypatch
):
    take_out(project)
    before, others = published(project), published(project, GONE)
    assert before != others
    monkeypatch.setattr("sys.stdin", io.StringIO("no\n"))
    assert main(["forget", GONE, "--packages", "--from-editions"]) == 2
    said = capsys.readouterr()
    package = f"results/packages/{GONE}.zip"
    assert said.out.startswith("To be deleted for good, for it cannot be computed again:\n")
    assert f":\n  {package}\n  out of edition 1: up to " in said.out
    assert "Nothing changed." in said.err and published(project) == before
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    assert main(["forget", GONE, "--from-editions"]) == 2
    assert "add --yes" in capsys.readouterr().err and published(project) == before
    monkeypatch.setattr("sys.stdin", io.StringIO("yes\n"))
    assert main(["forget", GONE, "--packages", "--from-editions"]) == 0
    said = capsys.readouterr().out
    assert "Now type `snakemake`: until then the report still shows it." in said
    assert "It is out of edition 1. What these say of others stays." in said
    assert published(project) == others
    assert not (project.results / "packages" / f"{GONE}.zip").exists()
    assert (project.results / "packages" / f"{KEPT}.zip").exists()
    project.snakemake()
    assert main(["verify"]) == 0
    assert naming(project, GONE) == set()
    for path in (project.results / "editions").rglob("published.parquet"):
        assert GONE not in set(PUBLISHED.read(path)["session"])
    assert project.plan() == {}


def test_what_strapline_did_not_make_stays(project, capsys):
    take_out(project)
    outside = project.folder / "diary.txt"
    outside.write_text("mine")
    folder = project.results / "sessions" / GONE
    (folder / "notes.txt").write_text("mine too")
    (folder / "link.txt").symlink_to(outside)
    metrics = folder / "metrics.parquet"
    metrics.rename(project.folder / "taken.parquet")
    metrics.symlink_to(project.folder / "taken.parquet")
    charts = folder / "charts"
    charts.rename(project.folder / "pictures")
    charts.symlink_to(project.folder / "pictures")
    pictures = len(list((project.folder / "pictures").iterdir()))
    assert main(["forget", GONE]) == 0
    said = capsys.readouterr().out
    for name in ("charts", "link.txt", "metrics.parquet", "notes.txt"):
        assert f"\n  results/sessions/{GONE}/{name}\n" in said
    assert sorted(p.name for p in folder.iterdir()) == [
        "charts",
        "link.txt",
        "metrics.parquet",
        "notes.txt",
    ]
    assert outside.read_text() == "mine" and (project.folder / "taken.parquet").exists()
    assert len(list((project.folder / "pictures").iterdir())) == pictures > 0
