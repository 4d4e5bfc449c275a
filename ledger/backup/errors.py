"""What can be wrong with a backup, its key or its place. Each text is a sentence for the keeper. Pure."""


class BackupError(Exception):
    """A backup, or what was to be done with it, failed; the text says what was wrong and what to do."""


class Damaged(BackupError, ValueError):
    """A file is not as it was written; the text names the member."""


class CutOff(Damaged):
    """A file ends before its end."""


class WrongKey(BackupError, ValueError):
    """A sealed file, and not the key it was sealed with; or no key at all."""


class NotEmpty(BackupError):
    """There is something already where a backup was to be restored."""


class Unusable(BackupError, OSError):
    """A place cannot be read or written: no room, no leave, no store."""
