from pathlib import Path

import pandas as pd
import pytest

WORKED_EXAMPLES = Path(__file__).resolve().parents[1] / "published" / "data"


@pytest.fixture(scope="session")
def worked_example():
    """A table of tests/published/data by file name; sources stand in SOURCES.md there."""
    return lambda name: pd.read_csv(WORKED_EXAMPLES / name)
