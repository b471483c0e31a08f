"""The demo, as README's first command runs it, gives what the repository holds."""

import filecmp

from project import Project

from mishaps.bench import Bench
from strapline.running.excerpt import write_excerpt

# Taken by hand with a browser, whose version decides the bytes.
PICTURE = "report.png"


def test_the_excerpt_is_the_committed_one_to_the_byte(demo, tmp_path, repository):
    folder, _ = demo
    write_excerpt(folder / "results" / "demo", tmp_path)
    ours = sorted(p.relative_to(tmp_path) for p in tmp_path.rglob("*") if p.is_file())
    committed = repository / "results_demo"
    theirs = sorted(p.relative_to(committed) for p in committed.rglob("*") if p.is_file())
    theirs = [path for path in theirs if path.name != PICTURE]
    assert ours == theirs
    different = [
        str(path)
        for path in ours
        if not filecmp.cmp(tmp_path / path, committed / path, shallow=False)
    ]
    assert different == []


def test_the_excerpt_is_small(repository):
    size = sum(p.stat().st_size for p in (repository / "results_demo").rglob("*"))
    assert size < 5 * 2**20


def test_the_last_lines_say_what_is_new_set_aside_and_where(demo):
    _, printed = demo
    assert "28 sessions, 28 new; those furthest from the strap first.\n" in printed
    assert "Report: results/demo/report/index.html" in printed


def test_the_last_line_is_about_what_was_asked_for(demo, run_workflow):
    """Also where there is an archive of the tester's own, and a demo that was made before. Where
    nobody asked for the report, none is named, and `verify` looks for none."""
    folder, _ = demo
    Bench(folder).add_session("run", 1)
    Project(folder).publish_one_picture()
    said = run_workflow(folder, "publish").stdout
    assert said.endswith("\nPublished: results/publish\n")
    assert "Report:" not in said
    assert "nothing was changed" in Project(folder).command("strapline", "verify")
    said = run_workflow(folder, "demo").stdout
    assert said.endswith("The demo's report: results/demo/report/index.html\n")
    assert "1 session," not in said
