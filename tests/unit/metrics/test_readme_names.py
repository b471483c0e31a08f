"""One text a formula: what README prints is what commands and pages print."""

import re

from strapline.method.metrics import registry
from strapline.method.metrics.statistics import STATISTICS

SOURCES = {metric.key: metric.source for metric in registry.METRICS}


def rows(repository, heading):
    text = (repository / "README.md").read_text("utf-8").split(heading, 1)[1]
    table = text.split("\n\n", 1)[0]
    cells = [line.strip("|").split("|") for line in table.splitlines() if line.startswith("| `")]
    return {tuple(re.findall(r"`(\w+)`", names)): source.strip() for names, _, source in cells}


def test_readme_names_the_same_figures_and_sources(repository):
    found = rows(repository, "| figure | formula | source |")
    named = {name for names in found for name in names}
    # Means and maxima of one side say what they are.
    assert SOURCES.keys() - named == {
        "mean_reference",
        "mean_device",
        "maximum_reference",
        "maximum_device",
    }
    assert named <= SOURCES.keys()
    for names, source in found.items():
        for name in names:
            # README gives a journal only where a work is named first.
            assert SOURCES[name].startswith(source), name


def test_readme_names_the_statistics_over_sessions(repository):
    found = rows(repository, "| statistic | how | source |")
    assert {name for names in found for name in names} <= STATISTICS.keys()
