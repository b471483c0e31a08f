"""README's first session and its commands, done as they stand there, by someone with its files,
in a folder with spaces and umlauts, with files for nobody else, no language, and a time zone far
away."""

import shutil
import zipfile

import pytest
import yaml
from project import FAR_AWAY, FOR_NOBODY_ELSE, Project

from strapline.keeping.receipts import files_in
from unit.test_readme import blocks, commands_in

SESSION = "2026-03-05-run"


def typed(project, *words):
    """What is said to it."""
    return project.command(*words, umask=FOR_NOBODY_ELSE, **FAR_AWAY)


@pytest.fixture(scope="module")
def readme(repository):
    return (repository / "README.md").read_text("utf-8")


@pytest.fixture(scope="module")
def first_run(tmp_path_factory, repository, readme):
    """The project after the first six steps, and what the run said. The exports are those of a
    session of the demo, under README's names: each format occurs once."""
    folder = tmp_path_factory.mktemp("first") / "Mein Prüf Ördner"
    folder.mkdir()
    project = Project(folder, repository)
    bench = yaml.safe_load((project.folder / "config" / "demo" / "bench.yaml").read_text("utf-8"))
    bench["sessions"] = [s for s in bench["sessions"] if f"{s['start']:%F}" == SESSION[:10]]
    cut, made = project.folder / "bench.yaml", project.folder / "made"
    cut.write_text(yaml.safe_dump(bench), encoding="utf-8")
    typed(project, "strapline.demo", str(made), "--bench", str(cut))
    files, closing = blocks(readme, "text")
    for place in map(project.folder.joinpath, files.splitlines()):
        place.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(*made.glob(f"*/*{place.suffix}"), place)
    devices, settings, card = blocks(readme, "yaml")
    (project.folder / "config" / "devices.yaml").write_text(devices, encoding="utf-8")
    zone = yaml.safe_load(settings)["clock"]["time_zone"]
    project.edit("config/settings.yaml", "time_zone: UTC", f"time_zone: {zone}")
    project.publish_one_picture()
    (place.parent / "session.yaml").write_text(card, encoding="utf-8")
    return project, typed(project, "snakemake"), closing


def test_the_run_ends_with_the_lines_that_are_printed(first_run):
    _, said, closing = first_run
    assert f"\n\n{closing}" in f"\n{said}"


def test_its_devices_and_card_are_what_the_commands_write(first_run, readme):
    """From the exports alone, and from answers."""
    project, *_ = first_run
    devices, _, card = map(yaml.safe_load, blocks(readme, "yaml"))
    bare = project.copy(project.folder.with_name("bare"))
    place = bare.folder / "inbox" / "2026-03-05 run" / "session.yaml"
    place.unlink()
    register = bare.folder / "config" / "devices.yaml"
    register.write_text("devices: {}\n")
    typed(bare, "strapline", "devices", "--write")
    written = yaml.safe_load(register.read_text("utf-8"))["devices"]
    kinds = {name: device["kind"] for name, device in devices["devices"].items()}
    assert {name: device["kind"] for name, device in written.items()} == kinds
    typed(bare, "snakemake", "sessions")
    given = {f"{r['device']}.placement": r["placement"] for r in card["recordings"][1:]}
    answers = [f"{key}={answer}" for key, answer in {"wearer": "june", **given}.items()]
    typed(bare, "strapline", "card", SESSION, "--answers", *answers)
    made = yaml.safe_load(place.read_text("utf-8"))
    assert {key: made[key] for key in ("activity", "wearer")} == {
        "activity": "run",
        "wearer": "june",
    }
    assert [(r["device"], r.get("placement")) for r in made["recordings"]] == [
        (name, given.get(f"{name}.placement")) for name in sorted(devices["devices"])
    ]


def test_every_command_does_what_is_said(first_run, readme):
    """In README's order, but for the one that wants the session out of the inbox."""
    project, *_ = first_run
    place = project.folder / "inbox" / "2026-03-05 run"
    with zipfile.ZipFile(project.folder / "history.zip", "w") as history:
        history.write(next(place.glob("*.csv")), "history/a.csv")
    for words in sorted(commands_in(readme), key=lambda words: words[1] == "forget"):
        if words[1] == "publish_demo":
            # It draws every picture of the demo: minutes.
            continue
        if words[1] == "forget":
            assert (project.results / "publish" / "sessions" / SESSION / "words.json").is_file()
            shutil.move(project.folder / "inbox" / "2026-03-05 run", project.folder)
        typed(project, *words)
        if words[1] == "correct":
            typed(project, "snakemake")
    assert (project.results / "packages" / f"{SESSION}.zip").is_file()
    assert not [path for path in files_in(project.results) if path.stat().st_mode & 0o077]
    assert not (project.results / "sessions" / SESSION).exists()
    assert len(list((project.folder / "inbox").glob("* intervals/session.yaml"))) == 1
