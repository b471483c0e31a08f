"""The page on the method: how every figure is reckoned, under which settings, by which code."""

from collections.abc import Mapping
from typing import Any

from strapline.ground.settings import Criteria, Tolerance
from strapline.telling.report import method
from strapline.telling.report.page import Context, Page


def context(
    settings: Mapping[str, Any],
    meanings: Mapping[str, str],
    fingerprints: Mapping[str, str],
    tolerance: Tolerance,
    criteria: Criteria,
) -> Context:
    """All `settings` by section; their `meanings` by dotted name; the fingerprint of each stage."""
    return {
        "of_a_session": method.of_a_session(tolerance),
        "across_sessions": method.across_sessions(criteria),
        "faults": method.faults_looked_for(),
        "settings": method.settings_in_force(settings, meanings),
        "fingerprints": fingerprints,
    }


METHOD = Page("method.html", "method_page", "method.html", context, word="Method")
