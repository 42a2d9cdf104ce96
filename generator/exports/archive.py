"""Zip files that are the same bytes for the same content."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping

# The earliest date a zip can carry: a build date would make every export a different file.
FIXED_DATE = (1980, 1, 1, 0, 0, 0)
# Stands at the end of every package, so that a later export knows its own work.
MARK = b"onionskin export"
MANIFEST = "imsmanifest.xml"


def archive(files: Mapping[str, bytes]) -> bytes:
    """A zip of the files by path with '/', the manifest first and the rest in order of their names."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as zipped:
        zipped.comment = MARK
        for name in sorted(files, key=lambda name: (name != MANIFEST, name)):
            zipped.writestr(_entry(name), files[name])
    return buffer.getvalue()


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, FIXED_DATE)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.create_system = 3  # Unix, whatever system this runs on
    entry.external_attr = 0o644 << 16
    return entry
