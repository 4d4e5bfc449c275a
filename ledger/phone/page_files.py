"""The static files a page can need, found in its HTML and in the files themselves, so that none can be forgotten."""

import re
from collections.abc import Iterator

from django.conf import settings
from django.templatetags.static import static

from ledger import static_tree
from ledger.static_files import is_collected
from ledger.static_packs import Pack, pack_name, packs


def addresses_of_page(html: str) -> tuple[str, ...]:
    """Return the addresses, in the order of their naming: what any attribute of the page names, what its scripts import
    at once or later, the fonts and pictures of its stylesheets."""
    start = re.escape(settings.STATIC_URL)
    named = re.findall(rf"""["'\s]({start}[^"'#?\s]+)""", html)
    made = packs() if is_collected() else {}
    known = {_address(name): name for name in (*static_tree.names(), *made)}
    names = [known[address] for address in dict.fromkeys(named) if address in known]
    for name in names:
        more = _needed_by_pack(made[name]) if name in made else _needed_by(name)
        names += [other for other in dict.fromkeys(more) if other not in names]
    return tuple(static(name) for name in names)


def _needed_by(name: str) -> Iterator[str]:
    if name.endswith(".js"):
        yield from static_tree.modules_of(name, later=True)
    elif name.endswith(".css"):
        yield from static_tree.files_of_sheet(name)


def _needed_by_pack(pack: Pack) -> Iterator[str]:
    for source in pack.sources:
        if pack.root:
            yield from map(pack_name, static_tree.later_in(source))
        else:
            yield from static_tree.files_of_sheet(source)


def _address(name: str) -> str:
    """The address of a file, or nothing where it was not collected: an editor's leftover, say."""
    try:
        return static(name)
    except ValueError:
        return ""
