"""Taking files away: only whole files, each by its own name, and never through a link."""

from __future__ import annotations

import stat
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path


@dataclass
class Removal:
    """Takes files away below `base`, and counts how many in which `place`."""

    base: Path
    taken: Counter[str] = field(default_factory=Counter)

    def take(self, path: Path, place: str) -> bool:
        """Whether it is gone now. A link, and what is reached through one, stays."""
        if not self._is_own(path):
            return False
        path.unlink()
        self.taken[place] += 1
        self._close(path.parent)
        return True

    def _is_own(self, path: Path) -> bool:
        """Whether it is a file that lies below `base` itself, by way of folders alone."""
        below = path.relative_to(self.base) if path.is_relative_to(self.base) else None
        if below is None or ".." in below.parts:
            return False
        steps = [self.base.joinpath(*below.parts[:end]) for end in range(1, len(below.parts) + 1)]
        try:
            modes = [step.lstat().st_mode for step in steps]
        except OSError:
            return False
        return all(map(stat.S_ISDIR, modes[:-1])) and stat.S_ISREG(modes[-1])

    def _close(self, folder: Path) -> None:
        """Take away the folders that are empty now."""
        while folder != self.base:
            try:
                folder.rmdir()
            except OSError:
                return
            folder = folder.parent
