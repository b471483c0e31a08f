"""What a page of the report is: the entry that makes it one of ours."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

Context = dict[str, Any]


@dataclass(frozen=True)
class Page:
    """A page, or one for each session or device.

    file: from the report's folder on; `{}` stands for a session or device. stage: the step that
    writes it. template: in `templates/`. context: what the template shows besides what all pages
    have. word: for it in the navigation; none for a page that is reached from another. within: the
    file of the page in the navigation that it belongs to, where it is not that page itself.
    public: whether it is for an audience too, and then without what only the tester needs.
    """

    file: str
    stage: str
    template: str
    context: Callable[..., Context]
    word: str = ""
    within: str = ""
    public: bool = False

    @property
    def of_each(self) -> bool:
        """Whether there is one for each session or device."""
        return "{}" in self.file

    @property
    def root(self) -> str:
        """From it to the report's folder."""
        return "../" * self.file.count("/")
