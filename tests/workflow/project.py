"""A copy of the project, in which it is asked what a run would do, or one is done."""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

_COPIED = (
    "Snakefile",
    "workflow",
    "profiles",
    "config",
    "src",
    "pyproject.toml",
    "requirements",
    "README.md",
    "LICENSE",
)

# No language, a time zone far away, and files for nobody else.
FAR_AWAY = {"LC_ALL": "C", "TZ": "Pacific/Auckland"}
FOR_NOBODY_ELSE = 0o077

# What a dry run says of its steps.
HOW_OFTEN = r"^\d+ steps?(?:: (.*?))?(?:[;,]\s+once\s+each:\s+(.*?))?\.$"


def jobs_in(text: str) -> dict[str, int]:
    """How many of each rule there are by what a dry run says."""
    said = re.search(HOW_OFTEN, text, re.M | re.S)
    if said is None:
        assert "up to date" in text
        return {}
    often = {rule: int(count) for rule, count in re.findall(r"(\w+) (\d+)", said[1] or "")}
    return often | dict.fromkeys(re.findall(r"\w+", said[2] or ""), 1)


class Project:
    """A copy of the workflow and the package, with an inbox of its own."""

    def __init__(self, folder: Path, repository: Path | None = None) -> None:
        """The one that is in `folder`, or a new one there, of a repository."""
        self.folder = folder
        for name in _COPIED if repository else ():
            source = repository / name
            copy: Callable[..., object] = shutil.copytree if source.is_dir() else shutil.copy
            copy(source, folder / name)

    def copy(self, folder: Path) -> "Project":
        """Another as it is now, with the times of files, as Snakemake goes by them."""
        shutil.copytree(self.folder, folder)
        return Project(folder)

    @property
    def results(self) -> Path:
        return self.folder / "results"

    def snakemake(self, *arguments: str, code: int = 0, umask: int = -1, **environment: str) -> str:
        words = ("snakemake", "--cores", "2", *arguments)
        return self.command(*words, code=code, umask=umask, **environment)

    def command(self, *words: str, code: int = 0, umask: int = -1, **environment: str) -> str:
        """What a command says, here where it ends with this code."""
        finished = subprocess.run(
            [sys.executable, "-m", *words],
            cwd=self.folder,
            env=os.environ | {"PYTHONPATH": str(self.folder / "src")} | environment,
            umask=umask,
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )
        assert finished.returncode == code, finished.stdout + finished.stderr
        return finished.stdout + finished.stderr

    def plan(self, *arguments: str) -> dict[str, int]:
        """How many jobs of each rule a run would do now."""
        return jobs_in(self.planned(*arguments))

    def planned(self, *arguments: str) -> str:
        """What a dry run says, with every rule."""
        return self.snakemake("--dry-run", "--printshellcmds", *arguments)

    def edit(self, name: str, old: str, new: str) -> None:
        path = self.folder / name
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")

    def publish_one_picture(self) -> None:
        """Where it does not matter which are published, for most of the time goes into them."""
        self.edit("config/settings.yaml", "pictures: []", "pictures: [traces]")

    def add_session(self, name: str) -> None:
        folder = self.folder / "inbox" / name
        folder.mkdir(parents=True)
        for side, shift in (("strap", 0), ("watch", 3)):
            # The last column is for no two sessions to be the same: those would count as one.
            rows = [
                f"2026-03-01T10:{s // 60:02}:{s % 60:02}Z,{90 + s % 50 + shift},{name}"
                for s in range(180)
            ]
            text = "\n".join(["time,heart_rate,session", *rows])
            (folder / f"{side}.csv").write_text(f"{text}\n")
