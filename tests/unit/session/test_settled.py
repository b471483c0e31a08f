"""What unsettles a session: its sources, what its method takes, its files."""

import shutil

import pytest

from strapline.session.settled import Seals, keep_seals, kept_seals, sealed, settled

SOURCES = {"first": "a", "second": "b"}


def method_of(devices):
    return "all" if devices is None else "-".join(devices)


@pytest.fixture
def table(tmp_path):
    path = tmp_path / "metrics.parquet"
    path.write_text("1")
    return path


@pytest.fixture
def seals(table):
    return {
        "first": sealed("a", ("band", "strap"), method_of, str(table.parent), [table]),
        "second": sealed("b", None, method_of, str(table.parent), []),
    }


def test_what_is_as_it_was_is_settled(seals, tmp_path):
    keep_seals(tmp_path / "settled.json", seals)
    kept = kept_seals(tmp_path / "settled.json")
    assert kept == seals
    assert settled(kept, SOURCES, method_of, str(tmp_path)) == {"first", "second"}


def test_a_session_without_a_seal_or_with_other_sources_is_not(seals, tmp_path):
    assert settled(seals, SOURCES | {"first": "c", "third": "d"}, method_of, str(tmp_path)) == {
        "second"
    }


def test_only_sessions_that_use_a_device_depend_on_it(seals, tmp_path):
    def changed(devices):
        return "other" if devices is None or "watch" in devices else method_of(devices)

    assert settled(seals, SOURCES, changed, str(tmp_path)) == {"first"}


@pytest.mark.parametrize("change", ["write_text", "unlink"])
def test_a_file_that_changed_or_is_gone_unsettles(seals, table, change):
    getattr(table, change)(*["22"] * (change == "write_text"))
    assert settled(seals, SOURCES, method_of, str(table.parent)) == {"second"}


@pytest.mark.parametrize("content", ["", "[1]", '{"first": {}}'])
def test_what_is_no_note_settles_nothing(tmp_path, content):
    (tmp_path / "settled.json").write_text(content)
    assert kept_seals(tmp_path / "settled.json") == Seals({}).root


def test_results_in_another_folder_are_looked_at_there(seals, table, tmp_path):
    copy = tmp_path / "copy"
    copy.mkdir()
    assert settled(seals, SOURCES, method_of, str(copy)) == {"second"}
    shutil.copy2(table, copy / table.name)
    assert settled(seals, SOURCES, method_of, str(copy)) == SOURCES.keys()
