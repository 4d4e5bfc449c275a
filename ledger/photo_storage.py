"""Where photos lie on the disk: written through before anybody is told that they are kept."""

import os
import uuid
from pathlib import Path
from typing import Any

from django.core.files.storage import FileSystemStorage


class PhotoStorage(FileSystemStorage):
    """Files of a folder. A phone deletes its own copy on the ledger's word, so the word must outlive a power cut."""

    def keep(self, name: str, data: bytes) -> None:
        """Write `data` under `name`, whole or not at all. What lies there whole is left as it is; OSError for no room."""
        path = Path(self.path(name))
        if path.exists() and path.stat().st_size == len(data):
            return
        path.parent.mkdir(parents=True, exist_ok=True)
        half = path.with_name(f"{path.name}.{uuid.uuid4().hex}")
        try:
            with half.open("xb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            half.chmod(self.file_permissions_mode or 0o640)
            half.replace(path)
        except OSError:
            half.unlink(missing_ok=True)
            raise
        _sync(path.parent)

    def _save(self, name: str, content: Any) -> str:
        saved: str = super()._save(name, content)
        path = Path(self.path(saved))
        _sync(path)
        _sync(path.parent)
        return saved


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
