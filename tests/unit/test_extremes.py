"""A session is worked through, from the exports to its page, at both ends of every setting that a
session's stages read. (At the ends of all at once: tests/workflow/test_settings_at_their_ends.py.)
"""

import shutil
from pathlib import Path

import pytest

from benchmarks.archive_floor import STAGES, perform_session
from document_numbers import numbers_of
from strapline.demo.bench import Bench
from strapline.demo.write import write_session
from strapline.ground.documents import load
from strapline.ground.settings import Settings
from strapline.ground.tables.sessions import METRICS
from strapline.keeping.provenance import sections_read
from strapline.reading.inbox.discovery import read_inbox

pytestmark = pytest.mark.slow

ENDS = ("minimum", "maximum")
NUMBERS = numbers_of("settings")
# Each with the stages that read it.
SECTIONS = {
    section: stages
    for section in sorted({place[0] for place in NUMBERS})
    if (stages := [stage for stage in STAGES if section in sections_read(stage)])
}


def at_end(section, end):
    """The settings with every number of a section at one end; where that cannot be together, one
    stays out of the way."""
    content = Settings().model_dump()
    for place, node in NUMBERS.items():
        if place[0] == section:
            part = content
            for key in place[:-1]:
                part = part[key]
            part[place[-1]] = node[end]
    return Settings.model_validate(content)


@pytest.fixture(scope="module")
def session(tmp_path_factory, repository):
    """A few minutes of weights with RR intervals, cadence, a lagging watch and one that repeats
    itself."""
    folder = tmp_path_factory.mktemp("inbox")
    bench = load(repository / "config" / "demo" / "bench.yaml", Bench)
    strength = bench.activities["strength"].model_copy(update={"rounds": 2})
    short = bench.model_copy(update={"activities": bench.activities | {"strength": strength}})
    write_session(short, next(s for s in short.sessions if s.activity == "strength"), folder)
    (found,) = read_inbox(folder, Settings(), folder).sessions.values()
    return found


@pytest.fixture(scope="module")
def usual(session, tmp_path_factory):
    """What comes of it by the usual settings."""
    results = tmp_path_factory.mktemp("usual")
    perform_session(session, results)
    return results


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize("section", SECTIONS)
def test_every_end_of_a_range_can_be_worked_with(session, usual, tmp_path, section, end):
    shutil.copytree(usual, tmp_path, dirs_exist_ok=True)
    perform_session(session, tmp_path, at_end(section, end), since=SECTIONS[section][0])
    place = Path(tmp_path, session.name)
    assert (place / "page.html").stat().st_size > 0
    assert METRICS.read(place / "metrics.parquet")["value"].notna().any()
