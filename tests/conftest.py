from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def repository() -> Path:
    return Path(__file__).resolve().parents[1]
