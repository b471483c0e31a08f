"""By which settings and code a job was done, as its receipt has it."""

from pydantic import ValidationError

from strapline.provenance import fingerprint, sections_read, stages
from strapline.receipts import Receipt
from strapline.settings import Settings


def is_of_this_code(receipt: Receipt) -> bool:
    """Whether the code that is here now did it, with whatever settings."""
    try:
        settings = Settings.model_validate(receipt.settings)
    except ValidationError:
        return False
    return (
        receipt.stage in stages()
        and receipt.settings.keys() == set(sections_read(receipt.stage))
        and receipt.method == fingerprint(receipt.stage, settings)
    )
