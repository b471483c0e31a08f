"""Writing a package: the same files give the same bytes."""

import io
import zipfile
from collections.abc import Sequence
from pathlib import Path

from strapline.ground.files import write_bytes
from strapline.keeping.packaging.contents import Packaged

# The first moment a zip can hold.
NO_TIME = (1980, 1, 1, 0, 0, 0)
READABLE = 0o644 << 16
UNIX = 3


def write_zip(path: Path, files: Sequence[Packaged]) -> None:
    """Write the files in order of name, not compressed: what compression gives depends on the
    library, and tables and pictures are compressed already."""
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_STORED) as archive:
        for file in sorted(files, key=lambda file: file.name):
            entry = zipfile.ZipInfo(file.name, NO_TIME)
            entry.external_attr = READABLE
            entry.create_system = UNIX
            archive.writestr(entry, file.content)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_bytes(path, content.getvalue())
