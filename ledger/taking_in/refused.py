"""What is said of a file that cannot be read. Pure."""


class FileRefused(ValueError):
    """The file is not read; the text says where, what was wrong and what to do. Nothing of it was written."""


NOTHING = "Nothing was written."
