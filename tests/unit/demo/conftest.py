"""The demo's bench as the repository has it."""

from pathlib import Path

import pytest

from strapline.demo.bench import Bench
from strapline.ground.documents import load

CONFIG = Path(__file__).parents[3] / "config" / "demo"


@pytest.fixture(scope="session")
def config() -> Path:
    return CONFIG


@pytest.fixture(scope="session")
def bench() -> Bench:
    return load(CONFIG / "bench.yaml", Bench)
