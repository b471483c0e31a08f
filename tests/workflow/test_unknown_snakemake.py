"""A Snakemake that calls all that Strapline mends and looks at otherwise: runs still end well."""

import re

from project import Project

HOOKS = "src/strapline/running/snakemake_hooks"
NAMES = {
    "mending.py": (),
    "quick.py": (
        "_schedule_reevalutation",
        "open_jobs",
        "remaining_jobs",
        "_ready_jobs",
        "checksum",
    ),
    "redo.py": (
        "_local_inventory",
        "check_incomplete",
        "check_and_touch_output",
        "prepare",
        "check_protected_output",
    ),
    "asked.py": ("parse_args",),
    "process.py": ("main_snakefile", "is_main_process", "output_settings", "scheduler"),
}


def test_a_run_goes_on_where_every_name_is_another(tmp_path, repository):
    project = Project(tmp_path, repository)
    project.add_session("first")
    for file, names in NAMES.items():
        for name in names:
            renamed(project.folder / HOOKS / file, name)
    said = project.snakemake()
    lines = [line for line in said.splitlines() if "does not know this Snakemake" in line]
    assert len(lines) == 1, said
    assert "1 session, 1 new." in said
    page = project.results / "report" / "sessions" / "first.html"
    before = page.read_bytes()
    # What is there is taken as it is, as by Snakemake alone.
    assert "Nothing has changed" in project.snakemake()
    page.unlink()
    project.snakemake()
    assert page.read_bytes() == before


def test_a_run_with_another_release_goes_on(built):
    built.edit(f"{HOOKS}/mending.py", 'TESTED = "9.27"', 'TESTED = "9.99"')
    page = built.results / "report" / "sessions" / "first.html"
    before = page.read_bytes()
    page.unlink()
    assert built.snakemake().count("does not know this Snakemake") == 1
    assert page.read_bytes() == before


def renamed(file, name):
    text = file.read_text()
    assert re.search(rf"\b{name}\b", text)
    file.write_text(re.sub(rf'(?<=["\.]){name}\b|(?<=import ){name}\b', f"{name}_of_another", text))
