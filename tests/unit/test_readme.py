"""README: short, and true as far as words can be compared with what is there. That its first
session runs as printed is for tests/workflow/test_first_session.py."""

import re
import shlex

import pytest
import yaml

from strapline.ground.records.card import Body, Card, ClockNote, Recording
from strapline.ground.records.picture import Picture
from strapline.ground.records.register import Register
from strapline.ground.records.stated import Stated
from strapline.ground.vocabulary import Placement, Sex
from strapline.running.commands import COMMANDS

MOST_WORDS = 1800


@pytest.fixture
def readme(repository):
    return (repository / "README.md").read_text("utf-8")


def blocks(text, language):
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.DOTALL | re.MULTILINE)


def commands_in(readme):
    """What is typed there, each in words."""
    lines = [line for block in blocks(readme, "sh") for line in block.splitlines()]
    typed = [shlex.split(line, comments=True) for line in lines]
    return [words for words in typed if words[0] in ("strapline", "snakemake")]


def rows(readme, heading):
    """First and second cells of the table below a heading, or of the one that begins so."""
    table = readme.partition(heading)[2].partition("|---|---|\n")[2].partition("\n\n")[0]
    return dict(re.findall(r"^\| (.*?) \| (.*) \|$", table, re.MULTILINE))


def test_it_is_read_in_one_sitting(readme):
    assert len(readme.split()) <= MOST_WORDS


def test_it_begins_with_the_job_and_a_picture(readme):
    heading, job, picture, *_ = readme.split("\n\n")
    assert heading == "# Strapline"
    assert job.startswith("You test")
    assert picture.startswith("![")


def test_no_formula_stands_there_from_memory(readme):
    assert "memory" not in readme


def test_all_it_leads_to_is_there(readme, repository):
    for place in re.findall(r"\]\(([^)]+)\)", readme):
        assert (repository / place).is_file(), place


def test_a_card_can_say_what_the_table_says(readme):
    told = rows(readme, "### What a card can say")
    names = {name for key in told for name in re.findall(r"`(\w+)`", key)}
    own_rows = {"placement", "clock", "picture", "stated"}
    assert names == {*Card.model_fields, *own_rows}
    assert set(Body.model_fields) <= set(re.findall(r"\w+", told["`body`"]))
    recordings = own_rows | set(re.findall(r"\w+", told["`recordings`"]))
    assert set(Recording.model_fields) <= recordings
    for key, model in (("clock", ClockNote), ("stated", Stated)):
        keys = set(re.findall(r"\w+", told[f"`{key}` of a recording"]))
        assert set(model.model_fields) <= keys, key
    edges = set(re.findall(r"`(\w+)`", told["`picture` of a recording"]))
    assert edges == {name for name, field in Picture.model_fields.items() if field.is_required()}
    chest, *sides, other = re.findall(r"`(\w+)`", told["`placement` of a recording"])
    parts = (side + part for part in sides[2:] for side in sides[:2])
    assert [chest, *parts, other] == [str(placement) for placement in Placement]
    sexes = re.search(r"`sex` \(`(\w+)` or `(\w+)`\)", told["`body`"]).groups()
    assert list(sexes) == [str(sex) for sex in Sex]


def test_its_documents_can_be_read(readme):
    devices, settings, card = map(yaml.safe_load, blocks(readme, "yaml"))
    register = Register.model_validate(devices)
    named = {recording.device for recording in Card.model_validate(card).recordings}
    assert named == register.devices.keys()
    assert settings.keys() == {"clock"}


def test_every_command_is_told(readme):
    in_text = {f"strapline {name}" for name in re.findall(r"`(?:\. <\()?strapline (\w+)", readme)}
    assert {" ".join(words[:2]) for words in commands_in(readme)} | in_text == {
        *(f"strapline {name}" for name in COMMANDS),
        "snakemake publish",
        "snakemake publish_demo",
    }


def test_what_a_session_leaves_behind_is_named_as_it_is(readme, repository):
    """Every file in the table is an output of a rule."""
    rules = "".join(p.read_text("utf-8") for p in (repository / "workflow" / "rules").glob("*.smk"))
    told = rows(readme, "| under `results/sessions/")
    names = {name for key in told for name in re.findall(r"`([\w./]+)`", key)}
    assert len(names) > 8
    assert not {name for name in names - {"raw/"} if f"/{name}" not in rules}
