"""Invented sessions through episodes and courses to sentences."""

from dataclasses import replace

from strapline.ground.settings import Episodes, Tolerance
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences
from unit.episodes.invented import Known


def tell(known: Known, intake):
    """Its rows under EPISODES, its row under COURSES, and its sentences by form."""
    cadences = {"watch": known.view.cadence_per_min}
    tables = session_episodes(known.aligned, cadences, intake, Episodes(), Tolerance())
    texts = session_sentences(*tables, intake)
    forms = texts.groupby("form", observed=True)["text"].apply(list).to_dict()
    return tables[0], tables[1].iloc[0], forms


def low_with_a_spike(known: Known) -> Known:
    """The same session, but that the device drops by 40 bpm for five minutes, and jumps in them."""
    device = known.aligned["device_bpm"].to_numpy(copy=True)
    device[200:500] = known.aligned["reference_bpm"][200:500] - 40
    device[300:308] += 75
    return replace(known, aligned=known.aligned.assign(device_bpm=device))
