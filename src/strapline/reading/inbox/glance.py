"""A look at a session's card, for deciding what its jobs depend on; intake validates it."""

from collections.abc import Collection
from contextlib import suppress
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from strapline.ground.documents import DocumentError, parse
from strapline.ground.records.picture import Picture
from strapline.ground.vocabulary import UNSTATED, DateOrder


class Glance:
    """What the card at a path says, as far as it says so; nothing where there is none."""

    def __init__(self, card: Path | None) -> None:
        content: Any = {}
        with suppress(DocumentError):
            content = parse(card) if card else {}
        self._content: dict[str, Any] = content if isinstance(content, dict) else {}
        recordings = self._content.get("recordings")
        listed = recordings if isinstance(recordings, list) else []
        self._entries: list[dict[str, Any]] = [one for one in listed if isinstance(one, dict)]
        self._has_recordings = bool(listed)

    @property
    def wearer(self) -> str:
        return self._word("wearer")

    @property
    def activity(self) -> str:
        return self._word("activity")

    @property
    def devices(self) -> set[str] | None:
        """Those it names, or None where it does not name them all and rules must help."""
        return self._named("device") if self._has_recordings else None

    @property
    def files(self) -> set[str]:
        """Those it names: one of them may be a picture."""
        return self._named("file")

    @property
    def pictures(self) -> set[str]:
        """The files of which it says what the edges of their plot stand for."""
        return self._named("file", "picture")

    def hints(self, file_names: Collection[str]) -> dict[str, Any]:
        """What it says of reading a file that has one of these names: `dates`, `heart_rate`,
        `picture`."""
        entry = next((e for e in self._entries if e.get("file") in file_names), {})
        clock, heading = entry.get("clock"), entry.get("heart_rate")
        dates = clock.get("dates") if isinstance(clock, dict) else None
        known: dict[str, Any] = {"dates": dates} if dates in tuple(DateOrder) else {}
        known |= {"heart_rate": heading} if isinstance(heading, str) else {}
        with suppress(ValidationError):
            plot = Picture.model_validate(entry.get("picture"))
            known["picture"] = plot.model_dump(mode="json")
        return known

    def _named(self, key: str, beside: str = "") -> set[str]:
        entries = (one for one in self._entries if not beside or one.get(beside))
        return {name for one in entries if isinstance(name := one.get(key), str)}

    def _word(self, key: str) -> str:
        word = self._content.get(key)
        return word if isinstance(word, str) else UNSTATED
