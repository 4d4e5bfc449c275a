"""What the static files need of one another, found by reading them.

A *name* is the path below `static/` (`js/log/log.js`); an *address* is where a browser fetches it. Nothing here is
written down by hand, so a new import or a new picture cannot be forgotten.
"""

import hashlib
import posixpath
import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import Path

from django.contrib.staticfiles import finders

# `import … from "./x.js";`, `export … from "./x.js";`, `import "./x.js";`, on one line or several.
_IMPORT = re.compile(r"""^(?:import|export)\b(?:[^;"']*?\bfrom)?\s*["'](\.[^"']+)["']\s*;""", re.MULTILINE)
_LATER = re.compile(r"""\bimport\(\s*["'](\.[^"']+)["']\s*\)""")
_URL = re.compile(r"""url\(\s*["']?(?!data:)([^"')]+)["']?\s*\)""")


class NoSuchStaticFile(LookupError):
    """A file names another that is not there; the text says which and where."""


def modules_of(name: str, *, later: bool = False) -> tuple[str, ...]:
    """Return the names of a module and of all it imports, nearest first; with *later* also what it imports by `import()`.

    Raises NoSuchStaticFile where an import leads nowhere.
    """
    found = [name]
    for one in found:
        found += [other for other in _named_in(one, later) if other not in found]
    return tuple(found)


def _named_in(name: str, later: bool) -> Iterator[str]:
    text = text_of(name)
    return _resolved(name, _IMPORT.findall(text) + (_LATER.findall(text) if later else []))


def _resolved(name: str, paths: Iterable[str]) -> Iterator[str]:
    for path in dict.fromkeys(paths):
        other = posixpath.normpath(posixpath.join(posixpath.dirname(name), path))
        if finders.find(other) is None:
            raise NoSuchStaticFile(f"{name} imports {path}, which is not there.")
        yield other


def later_in(name: str) -> tuple[str, ...]:
    """Return the names of what a module imports by `import()`, on its way and not before."""
    return tuple(_resolved(name, _LATER.findall(text_of(name))))


def files_of_sheet(name: str) -> Iterator[str]:
    """The names of the fonts and pictures a stylesheet names."""
    for path in _URL.findall(text_of(name)):
        yield posixpath.normpath(posixpath.join(posixpath.dirname(name), path.strip()))


def text_of(name: str) -> str:
    path = _path(name)
    return _text_of(path, Path(path).stat().st_mtime_ns)


def _path(name: str) -> str:
    path: str | None = finders.find(name)
    if path is None:
        raise NoSuchStaticFile(f"{name} is not among the static files.")
    return path


@lru_cache(maxsize=512)
def _text_of(path: str, changed: int) -> str:
    """The text of a file, read anew only where it was changed since."""
    return Path(path).read_text(encoding="utf-8")


def digest_of_all() -> bytes:
    """Return a digest of every static file's name and content, for where names do not change with the content."""
    digest = hashlib.sha256()
    for name in sorted(names()):
        digest.update(name.encode())
        digest.update(Path(_path(name)).read_bytes())
    return digest.digest()


def names() -> Iterator[str]:
    """The names of all static files there are."""
    for finder in finders.get_finders():
        for path, _ in finder.list([]):
            yield path.replace("\\", "/")
