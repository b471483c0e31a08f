"""What unsettles a session: its sources, what its method takes, its files."""

import shutil

import pytest

from strapline.keeping.as_made.notes import Note, states
from strapline.keeping.as_made.settled import Kept, keep, kept_in, sealed, sealed_again, settled

SOURCES = {"first": "a", "second": "b"}
TABLE = "results/sessions/metrics.parquet"
METHODS = {"measure:1", "theme:1"}


def besides(devices):
    return "all" if devices is None else "-".join(devices)


@pytest.fixture
def table(tmp_path):
    path = tmp_path / "sessions" / "metrics.parquet"
    path.parent.mkdir()
    path.write_text("1")
    return path


@pytest.fixture
def kept(table, tmp_path):
    notes = {"measured": Note(method="measure:1", sha256={}, files=states(str(tmp_path), [TABLE]))}
    seals = {
        "first": sealed("a", ("band", "strap"), besides, ["measured"], notes),
        "second": sealed("b", None, besides, [], notes),
    }
    return Kept(seals=seals, notes=notes)


def test_what_is_as_it_was_is_settled(kept, tmp_path):
    keep(tmp_path, Kept(), kept)
    again = kept_in(tmp_path)
    assert again == kept
    assert settled(again, SOURCES, besides, METHODS, str(tmp_path)) == {"first", "second"}


def test_a_session_without_a_seal_or_with_other_sources_is_not(kept, tmp_path):
    assert settled(
        kept, SOURCES | {"first": "c", "third": "d"}, besides, METHODS, str(tmp_path)
    ) == {"second"}


def test_only_sessions_that_use_a_device_depend_on_it(kept, tmp_path):
    def changed(devices):
        return "other" if devices is None or "watch" in devices else besides(devices)

    assert settled(kept, SOURCES, changed, METHODS, str(tmp_path)) == {"first"}


def test_only_sessions_with_a_job_by_a_changed_method_depend_on_it(kept, tmp_path):
    """A colour is of no session's job."""
    coloured, measured = {"measure:1", "theme:2"}, {"measure:2", "theme:1"}
    assert settled(kept, SOURCES, besides, coloured, str(tmp_path)) == SOURCES.keys()
    assert settled(kept, SOURCES, besides, measured, str(tmp_path)) == {"second"}


@pytest.mark.parametrize("change", ["write_text", "unlink"])
def test_a_file_that_changed_or_is_gone_unsettles(kept, table, tmp_path, change):
    getattr(table, change)(*["22"] * (change == "write_text"))
    assert settled(kept, SOURCES, besides, METHODS, str(tmp_path)) == {"second"}


@pytest.mark.parametrize("folder", [False, True])
def test_a_link_to_the_same_unsettles(kept, table, tmp_path, folder):
    place = table.parent if folder else table
    place.rename(tmp_path / "elsewhere")
    place.symlink_to(tmp_path / "elsewhere")
    assert settled(kept, SOURCES, besides, METHODS, str(tmp_path)) == {"second"}


def test_a_job_without_a_note_unsettles(kept, tmp_path):
    without = Kept(seals=kept.seals)
    assert settled(without, SOURCES, besides, METHODS, str(tmp_path)) == {"second"}


@pytest.mark.parametrize("content", ["", "[1]", '{"seals": {"first": {}}}'])
def test_what_is_no_note_settles_nothing(tmp_path, content):
    (tmp_path / "settled.json").write_text(content)
    assert kept_in(tmp_path) == Kept()


def test_results_in_another_folder_are_looked_at_there(kept, table, tmp_path):
    copy = tmp_path / "copy"
    (copy / "sessions").mkdir(parents=True)
    assert settled(kept, SOURCES, besides, METHODS, str(copy)) == {"second"}
    shutil.copy2(table, copy / "sessions")
    assert settled(kept, SOURCES, besides, METHODS, str(copy)) == SOURCES.keys()


def test_a_session_that_has_left_takes_its_notes_along(kept):
    shared = kept.notes | {"archive": Note(method="m", sha256={}, files={})}
    assert sealed_again(kept, {"second": "b"}, {}, shared) == Kept(
        seals={"second": kept.seals["second"]}, notes={"archive": shared["archive"]}
    )
