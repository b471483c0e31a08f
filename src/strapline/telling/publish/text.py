"""What a tester says and pastes: a description, a text that takes a minute, figures, sources."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from strapline.ground.words import plain
from strapline.telling.publish.tables import escaped
from strapline.telling.report.phrases import CAUTION

# Of a description. A video's or a post's is cut where it is longer.
FEWEST_WORDS, MOST_WORDS = 60, 120
# What takes a minute to say, at about 150 words a minute: common practice, no source.
WORDS_A_MINUTE = 150


@dataclass(frozen=True)
class Text:
    """title: what was found, in a line. description: FEWEST_WORDS to MOST_WORDS long, where so much
    is to be said. aloud: what takes a minute to say. figures: one each. sources: what all rests
    on."""

    title: str
    description: str
    aloud: str
    figures: tuple[str, ...]
    sources: str

    @property
    def plain(self) -> str:
        parts = [self.title]
        for heading, lines in self._parts:
            parts.append(f"{heading}\n\n" + "\n".join(map(plain, lines)))
        return "\n\n".join(parts) + "\n"

    @property
    def markdown(self) -> str:
        parts = [f"# {escaped(self.title)}"]
        for heading, lines in self._parts:
            parts.append(f"## {heading}\n\n" + "\n".join(map(escaped, lines)))
        return "\n\n".join(parts) + "\n"

    @property
    def _parts(self) -> list[tuple[str, list[str]]]:
        found = [
            ("Description", [self.description]),
            ("In one minute", [self.aloud]),
            ("Figures", [f"- {figure}" for figure in self.figures]),
            ("Sources and cautions", [self.sources, "", CAUTION]),
        ]
        return [(heading, lines) for heading, lines in found if any(lines)]


def chosen(
    said: Sequence[Sequence[str]], most: int, opening: str = "", more: Sequence[Sequence[str]] = ()
) -> str:
    """The opening, and after it of each subject as many sentences as fit into `most` words: the
    first of each before the second of any. `more`: of each, what follows where the text would be
    shorter than FEWEST_WORDS."""
    kept: list[list[str]] = [[] for _ in said]

    def words() -> int:
        return len(" ".join([opening, *(" ".join(own) for own in kept)]).split())

    def take(told: Sequence[Sequence[str]], enough: int) -> None:
        for place in range(max(map(len, told), default=0)):
            for own, sentences in zip(kept, told, strict=True):
                # A sentence after the first speaks of 'it'.
                begun = own or (place == 0 and told is said)
                if begun and place < len(sentences) and words() < enough:
                    longer = words() + len(sentences[place].split())
                    own += [sentences[place]] if longer <= most else []

    take(said, most)
    if more:
        take(more, FEWEST_WORDS)
    return " ".join(filter(None, [opening, *(" ".join(own) for own in kept)]))
