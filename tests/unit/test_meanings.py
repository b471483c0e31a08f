"""What settings mean, read from the comments beside them."""

import yaml

from strapline.ground.meanings import meanings
from strapline.ground.settings import Settings

TEXT = """\
# About all of it.
grid:          # the grid
  longest_gap_s: 10   # no longer gap
  colour: "#b3460f"   # with a sign in it
  # a remark
claims:
  tends:       # from here on
    fewest: 3
    most: 4    # at most
last: 1
"""


def test_the_comment_at_the_end_of_a_line_is_what_it_means(tmp_path):
    path = tmp_path / "settings.yaml"
    path.write_text(TEXT)
    assert meanings(path) == {
        "grid": "the grid",
        "grid.longest_gap_s": "no longer gap",
        "grid.colour": "with a sign in it",
        "claims.tends": "from here on",
        "claims.tends.most": "at most",
    }


def test_the_usual_settings_are_all_there_as_the_code_has_them(repository):
    # Out of step? Write the default of ground/settings.py into config/settings.yaml.
    written = yaml.safe_load((repository / "config" / "settings.yaml").read_text("utf-8"))
    for section, usual in Settings().model_dump(mode="json").items():
        assert written.get(section) == usual, section


def test_the_usual_settings_are_explained_by_their_true_names(repository):
    found = meanings(repository / "config" / "settings.yaml")
    assert len(found) > 30
    for name in found:
        content = Settings().model_dump()
        for part in name.split("."):
            content = content[part]
