"""The collected static files: names with a hash of their content, imports of modules included, and compressed."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedStaticFiles(CompressedManifestStaticFilesStorage):
    """Every file under a name that changes with its content, so that it may be kept for ever.

    A module's imports are rewritten to those names too: an old page goes on with the old modules, a new one with the
    new, and never one with the other.
    """

    support_js_module_import_aggregation = True
    # A change of one module changes the name of all that import it, one level per pass; Django's own 5 are too few.
    max_post_process_passes = 16
