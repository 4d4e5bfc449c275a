"""What a page needs is found by reading it, its modules and its stylesheets."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ledger.static_tree import NoSuchStaticFile, addresses_of_page, digest_of_all, modules_of

Write = Callable[[str, str], None]


@pytest.fixture
def write(tmp_path: Path, settings: Any) -> Write:
    """A static folder of its own."""
    from django.contrib.staticfiles import finders

    settings.STATICFILES_DIRS = [tmp_path]
    finders.get_finder.cache_clear()

    def written(name: str, text: str) -> None:
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text)

    yield written  # type: ignore[misc]
    finders.get_finder.cache_clear()


def test_a_module_brings_all_it_imports_each_once_the_nearest_first(write: Write) -> None:
    write("js/a.js", 'import { b } from "./b.js";\nimport {\n  c,\n  d,\n} from "./deep/c.js";\n')
    write("js/b.js", 'import "./deep/c.js";\nexport const b = 1;\n')
    write("js/deep/c.js", 'export { e as d } from "../e.js";\nexport const c = "x";\n')
    write("js/e.js", "export const e = 1;\n")
    assert modules_of("js/a.js") == ("js/a.js", "js/b.js", "js/deep/c.js", "js/e.js")


def test_words_in_comments_and_texts_are_no_imports(write: Write) -> None:
    write("a.js", '// import it from "./b.js"; as was done\nconst said = \'import "./c.js";\';\n')
    assert modules_of("a.js") == ("a.js",)


def test_what_is_imported_later_belongs_to_the_page_and_not_to_the_first_load(write: Write) -> None:
    write("a.js", 'const later = () => import("./b.js");\n')
    write("b.js", "export default 1;\n")
    assert modules_of("a.js") == ("a.js",)
    assert modules_of("a.js", later=True) == ("a.js", "b.js")


def test_an_import_that_leads_nowhere_is_named(write: Write) -> None:
    write("js/a.js", 'import "./gone.js";\n')
    with pytest.raises(NoSuchStaticFile, match=r"js/a\.js imports \./gone\.js"):
        modules_of("js/a.js")


def test_a_page_brings_its_scripts_styles_drawings_and_the_faces_of_its_styles(write: Write) -> None:
    write("css/a.css", '@font-face { src: url("../fonts/f.woff2"); }\n.b { background: url(data:x); }')
    write("fonts/f.woff2", "")
    write("fonts/unused.woff2", "")
    write("ui.svg", "")
    write("a.js", 'import "./b.js";\n')
    write("b.js", "export default 1;\n")
    page = """<link rel="stylesheet" href="/static/css/a.css"><use href="/static/ui.svg#plus"></use>
      <script type="module" src="/static/a.js"></script><a href="/finds/">static/none.js</a>"""
    assert addresses_of_page(page) == (
        "/static/css/a.css",
        "/static/ui.svg",
        "/static/a.js",
        "/static/b.js",
        "/static/fonts/f.woff2",
    )


def test_the_digest_of_all_files_changes_with_one_of_them(write: Write) -> None:
    write("a.js", "1;\n")
    before = digest_of_all()
    assert digest_of_all() == before
    write("a.js", "2;\n")
    assert digest_of_all() != before
