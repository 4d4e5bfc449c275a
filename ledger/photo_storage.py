"""Where photos lie on the disk: written through before anybody is told that they are kept."""

import os
from pathlib import Path
from typing import Any

from django.core.files.storage import FileSystemStorage


class PhotoStorage(FileSystemStorage):
    """Files of a folder. A phone deletes its own copy on the ledger's word, so the word must outlive a power cut."""

    def _save(self, name: str, content: Any) -> str:
        saved: str = super()._save(name, content)
        for path in (self.path(saved), Path(self.path(saved)).parent):
            handle = os.open(path, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)
        return saved
