"""What was done in a session: the card's word, else the folder's, else the exports'."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from strapline.ground.records.card import FILE_NAME
from strapline.ground.slugs import short_slug, slug
from strapline.ground.vocabulary import FIRST_ACTIVITIES, UNSTATED
from strapline.reading.formats.identity import is_sport

# Known in a folder's name, besides those of the settings. Any other word there may be a name.
IN_FOLDERS = (*FIRST_ACTIVITIES, "desk")


class Activity(NamedTuple):
    """`assumed`: what the tester is told where no card states it."""

    name: str
    assumed: str | None = None


def activity_of(
    stated: str | None,
    title: str,
    sports: Iterable[str],
    activities: Mapping[str, Sequence[str]],
) -> Activity:
    """In the bench's word if it has any. `stated`: by the card; `title`: the folder's name, which
    the tester chose, while a device may know no more than 'training'; `sports`: what exports say;
    `activities`: the bench's, each with the words exports use for it."""
    if stated:
        return Activity(stated)
    of_word = {slug(word): name for name, words in activities.items() for word in words}
    if name := _in_title(title, {name: name for name in (*IN_FOLDERS, *activities)} | of_word):
        return Activity(name, _told("folder's name", name))
    if name := _of_exports(sports, of_word):
        return Activity(name, _told("exports", name))
    return Activity(UNSTATED, f"The exports agree on no activity; state it in {FILE_NAME}.")


def _told(source: str, name: str) -> str:
    return f"The activity is from the {source}: {name}; state it in {FILE_NAME}."


def _in_title(title: str, known: Mapping[str, str]) -> str | None:
    """The one known activity that a folder's name has as a word; None where it has several."""
    words = f"-{slug(title)}-"
    found = {name for word, name in known.items() if f"-{word}-" in words}
    return found.pop() if len(found) == 1 else None


def _of_exports(sports: Iterable[str], of_word: Mapping[str, str]) -> str | None:
    """What all agree on that say one. Words that neither the bench nor the FIT profile knows may be
    a person's own."""
    found = {
        of_word.get(slug(said)) or short_slug(said)
        for said in sports
        if slug(said) in of_word or is_sport(said)
    }
    return found.pop() if len(found) == 1 else None
