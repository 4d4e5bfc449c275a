"""The collected static files: names with a hash of their content, imports of modules included, packed and compressed."""

from collections.abc import Iterator
from typing import Any

from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.files.base import ContentFile
from whitenoise.storage import CompressedManifestStaticFilesStorage

from ledger.static_packs import packed, packs


class HashedStaticFiles(CompressedManifestStaticFilesStorage):
    """Every file under a name that changes with its content, so that it may be kept for ever.

    A module's imports are rewritten to those names too: an old page goes on with the old modules, a new one with the
    new, and never one with the other. Packs are made before, and are then files as all others.
    """

    support_js_module_import_aggregation = True
    # A change of one module changes the name of all that import it, one level per pass; Django's own 5 are too few.
    max_post_process_passes = 16

    def post_process(self, paths: dict[str, Any], dry_run: bool = False, **options: Any) -> Iterator[Any]:
        if not dry_run:
            for pack in packs().values():
                self.delete(pack.name)
                self.save(pack.name, ContentFile(packed(pack)))
                paths[pack.name] = (self, pack.name)
        yield from super().post_process(paths, dry_run=dry_run, **options)


def is_collected() -> bool:
    """Whether pages use the collected files: everywhere but in development and tests, which use the sources."""
    return isinstance(staticfiles_storage, HashedStaticFiles)
