import json

import jsonschema
import pytest
import yaml

from strapline.ground.schema import schemas

CARD = """
activity: run
recordings: [{file: strap.fit, device: strap, role: reference}]
segments: [{label: first, from: "0:30", to: 750}]
"""


def test_the_committed_schemas_are_those_of_the_code(repository):
    # Out of step? python -m strapline.ground.schema config/schema
    for name, text in schemas().items():
        assert (repository / "config" / "schema" / name).read_text(encoding="utf-8") == text


def test_a_good_card_passes_and_a_bad_one_does_not():
    schema = json.loads(schemas()["session.schema.json"])
    jsonschema.validate(yaml.safe_load(CARD), schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(yaml.safe_load(CARD.replace("role", "rule")), schema)


def test_the_shipped_documents_pass(repository):
    for name in ("settings", "devices"):
        schema = json.loads(schemas()[f"{name}.schema.json"])
        text = (repository / "config" / f"{name}.yaml").read_text(encoding="utf-8")
        jsonschema.validate(yaml.safe_load(text), schema)
