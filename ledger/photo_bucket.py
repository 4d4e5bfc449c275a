"""Where originals lie if not on the disk: in a bucket of a store that speaks S3."""

from typing import Any

from django.core.files.base import ContentFile
from storages.backends.s3 import S3Storage

# What is read back is kept in memory up to this size, then in a temporary file.
_IN_MEMORY_BYTES = 2_000_000


class BucketPhotoStorage(S3Storage):
    """Nobody else reads the bucket: pages ask who may see, then hand the bytes on. So no object is public."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(default_acl=None, max_memory_size=_IN_MEMORY_BYTES, **settings)

    def keep(self, name: str, data: bytes) -> None:
        """Keep an original under its name, its digest; the store has it when this returns, or it raises."""
        if not self.exists(name):
            self.save(name, ContentFile(data))

    def get_available_name(self, name: str, max_length: int | None = None) -> str:
        """The name as it is: an original's name is its digest, so what lies there has the same bytes."""
        return name
