"""What can be wrong with a typed name. Called so because NameError is Python's own word for something else."""


class TaxonNameError(ValueError):
    """A typed name that cannot be taken apart. The message says which word is in the way and what to do.

    The text itself is never lost by it: whoever calls keeps what was typed.
    """
