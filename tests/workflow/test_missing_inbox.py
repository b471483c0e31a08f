"""An inbox that is not there is not an empty one, and what cannot be read is not gone."""

import shutil

import pytest

from mishaps.bench import Bench, differences, without_history
from strapline.reading.inbox import note


@pytest.fixture(scope="module")
def built(with_looks, tmp_path_factory):
    bench = Bench(with_looks(tmp_path_factory.mktemp("built"))).fill()
    bench.add_session("walk", 3)
    assert bench.run() == 0, bench.text
    return bench


@pytest.fixture
def bench(built, tmp_path):
    bench = built.copy(tmp_path / "copy")
    yield bench
    if bench.inbox.is_dir():
        bench.inbox.chmod(0o755)


def renamed(bench):
    bench.inbox.rename(bench.folder / "in box")


def a_file(bench):
    renamed(bench)
    bench.inbox.write_text("")


def locked(bench):
    bench.inbox.chmod(0)


def emptied(bench):
    renamed(bench)
    bench.inbox.mkdir()


def with_another_disk(bench):
    emptied(bench)
    bench.add_session("other", 1)


@pytest.mark.parametrize(
    ("mishap", "sentence"),
    [
        (renamed, "There is no folder inbox/. Is its disk mounted"),
        (a_file, "inbox is a file"),
        (locked, "inbox/ cannot be read (Permission denied)"),
        (emptied, "3 of the 3 sessions in the report are no longer in the inbox"),
        (with_another_disk, "3 of the 3 sessions in the report are no longer in the inbox"),
    ],
)
def test_a_missing_inbox_is_said_and_changes_nothing(bench, mishap, sentence):
    before = bench.state()
    mishap(bench)
    assert bench.run("--config", "sessions_a_share=9") == 2
    # Besides the sentence there is but Snakemake's first line.
    assert sentence in bench.text and len(bench.text.splitlines()) == 2, bench.text
    assert bench.state() == before


def test_sessions_are_forgotten_by_the_command_that_is_told(bench):
    emptied(bench)
    assert bench.run("--config", "sessions_a_share=9") == 2
    assert "--config gone=yes sessions_a_share=9 --cores 2`. Nothing was changed." in bench.text
    assert bench.run("--config", "gone=yes", "sessions_a_share=9", "--cores", "2") == 0
    assert "There is no session yet." in bench.text
    # What is not in the report any more is not asked about again.
    assert bench.run() == 0, bench.text


def test_a_few_sessions_may_be_renamed_or_taken_out_unasked(bench):
    shutil.rmtree(bench.inbox / "ride")
    shutil.rmtree(bench.inbox / "run")
    assert bench.run() == 0, bench.text


def test_sessions_that_cannot_be_read_keep_their_places(bench):
    """The folder of one, an export of another, and the card of a third."""
    before = bench.contents("archive", "sessions", "editions")
    closed = [bench.inbox / name for name in ("run", "ride/watch.csv", "walk/session.yaml")]
    modes = [place.stat().st_mode for place in closed]
    for place in closed:
        place.chmod(0)
    bench.add_session("more", 2)
    for words in ([], [], ["--forceall"]):
        assert bench.run(*words) == 0, bench.text
        told = bench.text.partition("These cannot be read or written now.")[2]
        assert told.count("may not be read by you") == len(closed), bench.text
        assert all(f"  {name}: " in told for name in ("run", "ride", "walk")), bench.text
        assert "No longer in the inbox" not in bench.text
    for place, mode in zip(closed, modes, strict=True):
        place.chmod(mode)
    for folder in (bench.inbox / "more", bench.results / "sessions" / "more"):
        shutil.rmtree(folder)
    assert bench.run() == 0, bench.text
    after = bench.contents("archive", "sessions", "editions")
    assert not differences(without_history(before), without_history(after))


def test_the_first_run_makes_the_inbox_and_says_what_to_do(tmp_path):
    bench = Bench(tmp_path)
    for words in (["--dry-run"], ["demo", "--dry-run"]):
        assert bench.run(*words) == 0, bench.text
        assert not bench.inbox.exists()
    assert bench.run() == 0, bench.text
    assert [path.name for path in bench.inbox.iterdir()] == [note.NAME]
    assert "What to do:\n  1. Make a folder in inbox/" in bench.text
    assert note.NAME not in bench.text
    bench.add_session("run", 1)
    assert bench.run() == 0, bench.text
    assert "What to do" not in bench.text and note.NAME not in bench.text


def test_an_inbox_that_is_named_is_not_made(tmp_path):
    bench = Bench(tmp_path)
    assert bench.run("--config", "inbox=inbx") == 2
    assert "There is no folder inbx/. Make it" in bench.text
    assert not bench.results.exists() and not bench.inbox.exists()


def test_a_key_that_nothing_reads_is_answered(tmp_path):
    bench = Bench(tmp_path).fill()
    assert bench.run("--config", "resluts=elsewhere") == 2
    assert "there is no --config key 'resluts'. Did you mean 'results'?" in bench.text


def test_a_mistake_in_the_settings_stands_alone(tmp_path):
    bench = Bench(tmp_path).fill()
    (tmp_path / "settings.yaml").write_text("no_such: 1\n")
    assert bench.run("--config", "settings=settings.yaml") == 2
    assert "'no_such' is not a known key" in bench.text and len(bench.text.splitlines()) == 2
