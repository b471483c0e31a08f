"""Completion, asked of a real shell."""

import shutil
import subprocess

import pytest

from strapline.running.commands import COMMANDS, main


@pytest.fixture
def completed(tmp_path, monkeypatch, capsys):
    """What bash offers after these words."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "results" / "sessions" / "2026-03-05-run").mkdir(parents=True)
    assert main(["completion"]) == 0
    script = capsys.readouterr().out

    def offered(*words):
        typed = " ".join(f"'{word}'" for word in words)
        asked = f"COMP_WORDS=({typed}); COMP_CWORD={len(words) - 1}; _strapline"
        bash = ["bash", "-c", f'{script}\n{asked}\nprintf "%s\\n" "${{COMPREPLY[@]}}"']
        return subprocess.run(bash, capture_output=True, text=True, check=True).stdout.split()

    return offered


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash found")
def test_commands_and_sessions_are_completed(completed):
    assert completed("strapline", "") == list(COMMANDS)
    assert completed("strapline", "tr") == ["trace"]
    assert completed("strapline", "trace", "2026") == ["2026-03-05-run"]
    assert completed("strapline", "trace", "x") == []
