"""What a command says where the machine is at fault."""

import errno
from pathlib import Path

import pytest

from strapline.running.commands import command_of, main

REGISTER = """\
devices:
  strap: {label: Strap, kind: chest_strap}
  watch: {label: Watch, kind: wrist}
  band: {label: Band, kind: wrist}
"""


def full(*given, **named):
    raise OSError(errno.ENOSPC, "No space left on device", "there")


def test_a_card_that_cannot_be_written_leaves_nothing(tmp_path, repository, monkeypatch, capsys):
    (tmp_path / "devices.yaml").write_text(REGISTER)
    monkeypatch.setattr(Path, "write_bytes", full)
    words = ["new", "run", "--inbox", str(tmp_path / "inbox"), "--results", str(tmp_path)]
    words += ["--devices", str(tmp_path / "devices.yaml")]
    assert main([*words, "--settings", str(repository / "config" / "settings.yaml")]) == 2
    assert "strapline: The disk is full. Free some space." in capsys.readouterr().err
    assert list((tmp_path / "inbox").iterdir()) == []


@pytest.mark.parametrize("words", ["new run", "package s", "plan", "trace s watch mae", "verify"])
def test_a_full_disk_is_told_by_every_command(words, monkeypatch, capsys):
    monkeypatch.setattr(command_of(words.split()[0]), "run", full)
    assert main(words.split()) == 2
    assert "The disk is full. Free some space. Then type the command again." in (
        capsys.readouterr().err
    )
