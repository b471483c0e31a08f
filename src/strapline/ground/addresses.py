"""What sessions are called in whatever may be published: without the names of wearers."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterator, Mapping

from strapline.ground.slugs import numbered, slug

# Letters that are spelt otherwise where there is no such key, and that Unicode does not take apart.
SPELT = {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th"}
# A session that is called by a name alone.
NAMELESS = "session"
# Between words; a capital after a small letter begins one too, as in 'JuneRun'.
BEGINS = r"(?:(?<![^\W\d_])|(?<=[a-z])(?=[A-Z]))"
ENDS = r"(?:(?![^\W\d_])|(?<=[a-z])(?=[A-Z]))"


def addresses(
    titles: Mapping[str, str], wearers: Collection[str], held: Mapping[str, str]
) -> dict[str, str]:
    """What each session is called where it is published; no two are called alike.

    It is the session's own name, or one without the names of wearers, and a number where that is
    taken. `titles`: by session; `held`: sessions by what they have been called so far, and go on to
    be called: who follows a link finds what was there.
    """
    wanted = {name: _address(name, title, wearers) for name, title in titles.items()}
    taken = {
        address: name
        for address, name in held.items()
        if name in wanted and re.fullmatch(rf"{re.escape(wanted[name])}(-[1-9]\d*)?", address)
    }
    found = {name: address for address, name in taken.items()}
    left = sorted(wanted.keys() - found.keys(), key=lambda name: (wanted[name] != name, name))
    for name in left:
        found[name] = next(one for one in numbered(wanted[name]) if one not in taken)
        taken[found[name]] = name
    return {name: found[name] for name in titles}


def without_names(text: str, wearers: Collection[str]) -> str:
    """The text without the names of wearers, whatever the capitals, accents and signs."""
    name = _any_of(wearers)
    if name is None:
        return text
    bare, places = _bare(text)
    while match := name.search(bare):
        # One sign may be several letters: '½' is '1⁄2', and goes as a whole.
        end = max(places[match.end()], places[match.end() - 1] + 1)
        bare, places = _bare(text := text[: places[match.start()]] + text[end:])
    return text


def _address(name: str, title: str, wearers: Collection[str]) -> str:
    if without_names(title, wearers) == title and without_names(name, wearers) == name:
        return name
    bare = without_names(title, wearers).strip(" _-")
    return without_names(slug(bare or NAMELESS), wearers).strip("-") or NAMELESS


def _any_of(wearers: Collection[str]) -> re.Pattern[str] | None:
    """What finds the name of any of them, and what parts it from the next word."""
    patterns = sorted(map(_pattern, wearers), key=len, reverse=True)
    names = "|".join(filter(None, patterns))
    return re.compile(rf"(?:{names})(?:[’']s(?![^\W_]))?[\s_-]*") if names else None


def _pattern(wearer: str) -> str:
    """A name in words, as others may write it: together, or 'Jürgen' for 'juergen'."""
    words = re.findall(r"[^\W_]+", _bare(wearer.lower())[0])
    spelt = r"[\W_]*".join(re.sub("([aou])e?", r"\1e?", word) for word in words)
    begins = r"(?<!\d)" if spelt[:1].isdigit() else BEGINS
    ends = r"(?!\d)" if spelt[-1:].isdigit() else ENDS
    return f"{begins}(?i:{spelt}){ends}" if spelt else ""


def _bare(text: str) -> tuple[str, list[int]]:
    """The text in letters without accents, and where in the text each of them and the end is."""
    letters = [(letter, place) for place, each in enumerate(text) for letter in _letters(each)]
    return "".join(letter for letter, _ in letters), [*(place for _, place in letters), len(text)]


def _letters(character: str) -> Iterator[str]:
    small = character.lower()
    for each in unicodedata.normalize("NFKD", character):
        # Marks, and what nobody sees.
        if unicodedata.category(each) not in ("Mn", "Me", "Cf"):
            yield from SPELT.get(small, each)
