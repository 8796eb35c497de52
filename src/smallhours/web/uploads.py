"""Files that are sent in: kept in memory, up to the size a table may have, and dropped beyond it while they arrive."""

from __future__ import annotations

import io
from typing import Any

from django.core.files.uploadedfile import InMemoryUploadedFile
from django.core.files.uploadhandler import FileUploadHandler, SkipFile

from smallhours.actions.tables.text import MOST_BYTES

TOO_LARGE = "smallhours.too_large"
"""In a request's ``META``: the field whose file was too large to be kept."""


class SmallFiles(FileUploadHandler):
    """Keeps a file unless it is larger than a table may be; the other fields of its form are read all the same."""

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        """A file begins."""
        super().new_file(*args, **kwargs)
        self.kept = io.BytesIO()

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        """Keep a piece. Raises SkipFile once it is too much: nothing of it stays."""
        if start + len(raw_data) > MOST_BYTES:
            self.kept = io.BytesIO()
            self.request.META[TOO_LARGE] = self.field_name
            raise SkipFile
        self.kept.write(raw_data)

    def file_complete(self, file_size: int) -> InMemoryUploadedFile:
        """The file, whole."""
        self.kept.seek(0)
        return InMemoryUploadedFile(
            self.kept, self.field_name, self.file_name, self.content_type, file_size, self.charset
        )
