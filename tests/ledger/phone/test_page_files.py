"""A kept page takes with it all it can need."""

from ledger.phone.page_files import addresses_of_page
from tests.static_folder import Write


def test_a_page_brings_its_scripts_styles_drawings_and_the_faces_of_its_styles(write: Write) -> None:
    write("css/a.css", '@font-face { src: url("../fonts/f.woff2"); }\n.b { background: url(data:x); }')
    write("fonts/f.woff2", "")
    write("fonts/unused.woff2", "")
    write("ui.svg", "")
    write("a.js", 'import "./b.js";\n')
    write("b.js", "export default 1;\n")
    page = """<link rel="stylesheet" href="/static/css/a.css"><use href="/static/ui.svg#plus"></use>
      <script type="module" src="/static/a.js"></script><a href="/finds/">static/none.js</a>"""
    assert sorted(addresses_of_page(page)) == [
        "/static/a.js",
        "/static/b.js",
        "/static/css/a.css",
        "/static/fonts/f.woff2",
        "/static/ui.svg",
    ]
