"""What a page needs of the static files, found by reading the files: the modules a module imports, the files a page names.

A *name* is the path below `static/` (`js/log/log.js`); an *address* is where a browser fetches it. Nothing here is
written down by hand, so a new import or a new picture cannot be forgotten.
"""

import hashlib
import posixpath
import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.templatetags.static import static

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
    text = _text(name)
    folder = posixpath.dirname(name)
    paths = _IMPORT.findall(text) + (_LATER.findall(text) if later else [])
    for path in dict.fromkeys(paths):
        other = posixpath.normpath(posixpath.join(folder, path))
        if finders.find(other) is None:
            raise NoSuchStaticFile(f"{name} imports {path}, which is not there.")
        yield other


def addresses_of_page(html: str) -> tuple[str, ...]:
    """Return the addresses of all static files a page can need, in the order of their naming.

    Those the page names in any attribute, then what its modules import (later ones too), then the fonts and pictures
    of its stylesheets.
    """
    start = re.escape(settings.STATIC_URL)
    named = dict.fromkeys(re.findall(rf"""["'\s]({start}[^"'#?\s]+)""", html))
    known = {_address(name): name for name in _names()}
    names = [known[address] for address in named if address in known]
    for name in tuple(names):
        names += modules_of(name, later=True) if name.endswith(".js") else ()
    for name in tuple(names):
        names += _files_of_sheet(name) if name.endswith(".css") else ()
    return tuple(static(name) for name in dict.fromkeys(names))


def _files_of_sheet(name: str) -> Iterator[str]:
    for path in _URL.findall(_text(name)):
        yield posixpath.normpath(posixpath.join(posixpath.dirname(name), path.strip()))


def _text(name: str) -> str:
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


def _address(name: str) -> str:
    """The address of a file, or nothing where it was not collected: an editor's leftover, say."""
    try:
        return static(name)
    except ValueError:
        return ""


def digest_of_all() -> bytes:
    """Return a digest of every static file's name and content, for where names do not change with the content."""
    digest = hashlib.sha256()
    for name in sorted(_names()):
        digest.update(name.encode())
        digest.update(Path(_path(name)).read_bytes())
    return digest.digest()


def _names() -> Iterator[str]:
    for finder in finders.get_finders():
        for path, _ in finder.list([]):
            yield path.replace("\\", "/")
