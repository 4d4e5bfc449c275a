"""What a page needs is found by reading it, its modules and its stylesheets."""

import pytest

from ledger.static_tree import NoSuchStaticFile, digest_of_all, modules_of
from tests.static_folder import Write


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


def test_the_digest_of_all_files_changes_with_one_of_them(write: Write) -> None:
    write("a.js", "1;\n")
    before = digest_of_all()
    assert digest_of_all() == before
    write("a.js", "2;\n")
    assert digest_of_all() != before
