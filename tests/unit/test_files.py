"""What is read of the results, and what is said of what is none."""

import pickle

import pytest
from pydantic import BaseModel

from strapline.ground.documents import DocumentError
from strapline.ground.files import UnfitResult, read_model, write_model


class Made(BaseModel):
    seconds: int


def test_what_was_written_is_read(tmp_path):
    write_model(tmp_path / "x.json", Made(seconds=3))
    assert read_model(tmp_path / "x.json", Made) == Made(seconds=3)


def test_what_is_no_such_thing_is_told_with_its_file(tmp_path):
    path = tmp_path / "x.json"
    path.write_text('{"seconds": "many"}')
    with pytest.raises(UnfitResult, match=r"x\.json is not as this version.*\(seconds: Input"):
        read_model(path, Made)
    path.write_text("{")
    with pytest.raises(UnfitResult, match="Invalid JSON"):
        read_model(path, Made)


@pytest.mark.parametrize("error", [DocumentError("a", "b"), UnfitResult("x.json", "why")])
def test_an_error_of_a_worker_comes_to_the_run_as_it_was(error):
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is type(error) and str(again) == str(error)
    assert again.mistakes == error.mistakes
