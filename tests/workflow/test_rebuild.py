"""What is redone after an edit, asked of Snakemake on a copy of the project."""

import re
import shutil
from importlib.metadata import version

import pytest
from project import Project, jobs_in

SETTINGS = "config/settings.yaml"
FORMULA = "src/strapline/method/metrics/errors.py"

PER_SESSION = {
    "parse": 2,
    "intake": 1,
    "normalise": 1,
    "align": 1,
    "measure": 1,
    "episodes": 1,
    "consequences": 1,
    "chart": 1,
}
PLANNING = {"plan", "checklist"}
EPISODES = {"gather_episodes"}
EDITIONS = {"gather_published": 1, "edition": 1, "changes_page": 1}
CHARTS = {"archive_chart"}
GATHERED = {"gather_sessions", "gather_figures"}
REPORTED = {"aggregate", "faults", "site", "spreadsheet", "data_page", "data_part"}
REPORTED |= CHARTS | PLANNING | EDITIONS.keys()
ARCHIVE = GATHERED | REPORTED


# Where it is said which versions compute.
VERSIONS = "src/strapline/ground/versions.py"


@pytest.fixture
def project(built):
    """The built project, mended after the test."""
    kept = {name: (built.folder / name).read_bytes() for name in (SETTINGS, FORMULA, VERSIONS)}
    yield built
    for name, content in kept.items():
        (built.folder / name).write_bytes(content)
    shutil.rmtree(built.folder / "inbox" / "third", ignore_errors=True)


def test_comments_docstrings_and_a_session_that_waits_for_its_files_redo_nothing(project):
    folder = project.folder / "inbox" / "third"
    folder.mkdir()
    (folder / "session.yaml").write_text("activity: run\n")
    project.edit(FORMULA, "    reference = c.pairs", "    # The strap's.\n    reference = c.pairs")
    project.edit(FORMULA, '"""NaN where a', '"""Not a number where a')
    project.edit(SETTINGS, "tolerance:", "# stricter?\ntolerance:")
    assert project.plan() == {}


def test_a_formula_redoes_measuring_and_what_follows(project):
    project.edit(FORMULA, "np.mean(c.sizes**2)", "np.mean(c.sizes * c.sizes)")
    plan = project.plan()
    own = {"measure", "chart", "session_page", "method_page", "gather_figures", "gather_sessions"}
    assert plan.keys() == own | REPORTED
    assert plan["measure"] == 2


def test_a_tolerance_redoes_no_alignment(project):
    project.edit(SETTINGS, "beats: 5", "beats: 4")
    told = project.planned()
    plan = jobs_in(told)
    assert plan["measure"] == 2
    assert not plan.keys() & {"parse", "intake", "normalise", "align"}
    said = (
        "tolerance.beats 5.0 is now 4.0: measure, episodes, chart and session_page will be "
        "recomputed for 2 sessions."
    )
    for text in (told, project.command("strapline", "status")):
        assert said in " ".join(text.split())


def test_a_search_range_redoes_alignment_but_no_parsing(project):
    project.edit(SETTINGS, "search_s: 90", "search_s: 60")
    plan = project.plan()
    assert plan["align"] == 2
    assert not plan.keys() & {"parse", "intake", "normalise"}


def test_what_counts_as_an_episode_redoes_episodes_and_what_shows_them(project):
    project.edit(SETTINGS, "enter_bpm: 10", "enter_bpm: 12")
    shown = {"chart": 2, "session_page": 2, "data_page": 1, "method_page": 1}
    shown |= {"faults": 1, "site": 1, "data_part": 1}
    assert project.plan() == {"episodes": 2, "gather_episodes": 1} | shown | EDITIONS


def test_an_alarm_redoes_consequences_and_what_shows_them(project):
    project.edit(SETTINGS, "percent: 85", "percent: 80")
    shown = {"chart": 2, "session_page": 2, "data_page": 1, "method_page": 1}
    shown |= {"faults": 1, "site": 1, "data_part": 1}
    assert project.plan() == {"consequences": 2, "gather_episodes": 1} | shown | EDITIONS


def test_a_meaning_redoes_the_page_that_tells_it(project):
    project.edit(SETTINGS, "searched this far either way", "searched so far either way")
    assert project.plan() == {"method_page": 1}


def test_a_colour_redoes_no_picture_and_one_page(project):
    project.edit(SETTINGS, "#0d70ee", "#0d70ef")
    assert project.plan() == {"theme": 1, "method_page": 1}


def test_another_precision_redoes_the_plan_only(project):
    project.edit(SETTINGS, "half_width_bpm: 2", "half_width_bpm: 1")
    assert project.plan().keys() == PLANNING | {"method_page"}


def test_another_version_of_a_library_redoes_what_computes_with_it_and_says_so(project):
    scipy = version("scipy")
    project.edit(VERSIONS, "for name in LIBRARIES}", 'for name in LIBRARIES} | {"scipy": "0.1"}')
    said = project.planned()
    plan = jobs_in(said)
    assert (plan["measure"], plan["consequences"]) == (2, 2)
    stages = "parse, intake, align, measure, episodes, consequences and session_page"
    recomputed = f"{stages} will be recomputed for 2 sessions."
    told = next(line for line in said.splitlines() if line.startswith("scipy"))
    assert told.startswith(f"scipy {scipy} is now 0.1: ")
    assert sorted(re.findall(r"\w+", told)) == sorted(
        re.findall(r"\w+", f"scipy {scipy} is now 0.1: {recomputed}")
    )


def test_one_more_session_adds_its_own_jobs_and_the_archive(project):
    project.add_session("third")
    plan = project.plan()
    assert {rule: plan.pop(rule) for rule in PER_SESSION} == PER_SESSION
    assert plan == {"session_page": 1} | dict.fromkeys(ARCHIVE | EPISODES, 1)


def test_a_card_redoes_its_own_session_from_intake(project):
    card = project.folder / "inbox" / "first" / "session.yaml"
    card.write_text("activity: run\n")
    plan = project.plan()
    card.unlink()
    assert "parse" not in plan
    assert (plan["intake"], plan["normalise"], plan["measure"]) == (1, 1, 1)


def test_what_is_known_of_a_wearer_redoes_the_sessions_of_that_wearer(tmp_path, repository):
    project = Project(tmp_path, repository)
    for name in ("a", "b"):
        project.add_session(name)
        card = project.folder / "inbox" / name / "session.yaml"
        card.write_text(f"wearer: {name}\n")
    intakes = [f"results/sessions/{name}/intake.json" for name in ("a", "b")]
    project.snakemake(*intakes)
    known = project.folder / "config" / "wearers.yaml"
    known.write_text("wearers: {a: [{weight_kg: 61}], c: [{age_years: 30}]}\n")
    assert project.plan(*intakes)["intake"] == 1
    project.snakemake(*intakes)
    assert '"weight_kg": 61' in (project.results / "sessions" / "a" / "intake.json").read_text()
    known.write_text("wearers: {a: [{weight_kg: 61}]}\n")
    assert "intake" not in project.plan(*intakes)
