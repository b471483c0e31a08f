"""Which figures mean something else than in the edition before, for the tolerance they rest on."""

from strapline.keeping.editions.in_force import InForce
from strapline.method.metrics.registry import METRICS


def redefined(before: InForce, after: InForce) -> frozenset[str]:
    """The METRICS whose formula holds another number now."""
    was, now = _tolerance(before), _tolerance(after)
    return frozenset(each.key for each in METRICS if each.reckoned(*was) != each.reckoned(*now))


def rests_on(figure: str, metrics: frozenset[str]) -> bool:
    """Whether a figure of PUBLISHED is one of these, or a statistic of one ('mean_mae')."""
    return any(figure == key or figure.endswith(f"_{key}") for key in metrics)


def _tolerance(state: InForce) -> tuple[float, float]:
    """In beats and in percent; 0 where nothing says it."""
    stage = state.stages.get("measure")
    said = stage.settings.get("tolerance", {}) if stage else {}
    return float(said.get("beats", 0)), float(said.get("percent", 0))
