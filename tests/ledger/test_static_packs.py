"""Several modules in one file do what they do one by one."""

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from ledger.static_packs import NotPackable, Pack, exports_of, pack_name, packed, packs, sheets_name
from ledger.static_tree import modules_of
from tests.static_folder import Write

ROOT = Path(__file__).resolve().parents[2]
MODULES = sorted(path.relative_to(ROOT / "static").as_posix() for path in (ROOT / "static/js").rglob("*.js"))


def node(code: str, folder: Path) -> str:
    """What that module says on its standard output."""
    if shutil.which("node") is None:
        pytest.skip("Node is not installed; a pack cannot be run here")
    (folder / "package.json").write_text('{"type": "module"}')
    run = subprocess.run(
        ["node", "--input-type=module"], input=code, cwd=folder, capture_output=True, text=True
    )
    assert run.returncode == 0, run.stderr
    return run.stdout


def pack_of(name: str) -> str:
    return packed(Pack(pack_name(name), modules_of(name)[::-1], name))


def test_a_pack_does_what_its_modules_do(write: Write, tmp_path: Path) -> None:
    write("a.js", 'import { two as pair, Box } from "./deep/b.js";\nimport * as c from "./c.js";\nimport "./d.js";\n'
          "console.log(pair(), new Box().holds, c.name, c.late(), [1].map((x) => x + 1)[0]);\n")  # fmt: skip
    write("deep/b.js", 'import { name } from "../c.js";\nexport function two() {\n  return name + name;\n}\n'
          "class Crate {\n  holds = 3;\n}\nexport { Crate as Box };\n")  # fmt: skip
    write("c.js", 'export const name = "c";\nexport async function* many() {}\nexport const late = () => hidden;\n'
          'const hidden = "h";\nexport { last } from "./d.js";\n')  # fmt: skip
    write("d.js", 'export const last = "d";\nconsole.log("d once");\n')
    alone = node('await import("./static/a.js");', tmp_path)
    assert alone == "d once\ncc 3 c h 2\n"
    assert node(pack_of("a.js"), tmp_path) == alone


def test_a_module_in_two_packs_of_a_page_runs_once_and_is_one(write: Write, tmp_path: Path) -> None:
    write("store.js", 'console.log("opened");\nexport class Full extends Error {}\nexport const all = [];\n')
    write("a.js", 'import { all } from "./store.js";\nall.push("a");\n')
    write("b.js", 'import { all } from "./store.js";\nall.push("b");\nconsole.log(all.join());\n')
    both = f"{{\n{pack_of('a.js')}\n}}\n{{\n{pack_of('b.js')}\n}}\n"
    assert node(both, tmp_path) == "opened\na,b\n"


def test_what_is_imported_later_is_a_pack_of_its_own_with_its_exports(write: Write, tmp_path: Path) -> None:
    write(
        "js/a.js",
        'const { said } = await0(import("../rules/b.js"));\nfunction await0(x) {\n  return x;\n}\nexport { said };\n',
    )
    write("rules/b.js", "export const said = 1;\n")
    text = pack_of("js/a.js")
    assert 'import("../rules/b.pack.js")' in text
    (tmp_path / "b.mjs").write_text(pack_of("rules/b.js"))
    assert node('console.log((await import("./b.mjs")).said);', tmp_path) == "1\n"


@pytest.mark.parametrize(
    "line",
    [
        "export default 1;",
        "export const { a } = b;",
        'import a from "./b.js";',
        "export let a = 1;",
        "await start();",
        'export * from "./b.js";',
    ],
)
def test_what_a_pack_does_not_know_is_refused_with_the_line(line: str, write: Write) -> None:
    write("a.js", f"// first\n{line}\n")
    write("b.js", "export const b = 1;\n")
    with pytest.raises(NotPackable, match=r"a\.js has a line that cannot be packed: "):
        pack_of("a.js")


def test_comments_stay_with_the_sources_and_all_else_goes_with_the_pack(write: Write, tmp_path: Path) -> None:
    write(
        "a.js",
        "// first\n/** What it is,\n * and why. */\nconst a = `\n// a line of a text\n`; // said beside\n"
        "  // indented\n/* open\n*/ const b = 2;\nconst c = 6 /* half */ / 2;\n/* short */ const d = 4;\n"
        "console.log(a.trim(), b, c, d);\n",
    )
    text = pack_of("a.js")
    for comment in ("first", "What it is", "and why", "indented", "open"):
        assert comment not in text
    assert node(text, tmp_path) == "// a line of a text 2 3 4\n"


def test_stylesheets_are_packed_in_their_order(write: Write) -> None:
    write("css/a.css", ".a {}\n")
    write("css/b.css", ".b {}\n")
    name = sheets_name(("css/b.css", "css/a.css"))
    assert name == "css/b-a.pack.css"
    assert packed(Pack(name, ("css/b.css", "css/a.css"))) == ".b {}\n\n.a {}\n"


def test_stylesheets_of_two_folders_are_not_packed() -> None:
    with pytest.raises(NotPackable):
        sheets_name(("css/a.css", "other/b.css"))


def test_every_module_of_the_ledger_can_be_packed(tmp_path: Path) -> None:
    for name in MODULES:
        text = pack_of(name)
        (tmp_path / f"{name.replace('/', '-')}.mjs").write_text(text)
    code = """
      import vm from "node:vm"; import { readFileSync, readdirSync } from "node:fs";
      const made = readdirSync(".").filter((one) => one.endsWith(".mjs"));
      for (const name of made) new vm.SourceTextModule(readFileSync(name, "utf8"));
      console.log(made.length);
    """
    if shutil.which("node") is None:
        pytest.skip("Node is not installed; a pack cannot be run here")
    run = subprocess.run(
        ["node", "--experimental-vm-modules", "--no-warnings", "--input-type=module"],
        input=code, cwd=tmp_path, capture_output=True, text=True,
    )  # fmt: skip
    assert run.stdout.strip() == str(len(MODULES)), run.stderr


def test_the_exports_found_by_reading_are_those_that_node_finds(tmp_path: Path) -> None:
    """Of the modules that need no page to be there."""
    code = f"""
      process.on("uncaughtException", () => {{}}); // a module that needs a page may say so later
      const told = {{}};
      for (const name of {json.dumps([name for name in MODULES if name.startswith(("js/rules/", "js/phone/"))])}) {{
        try {{
          told[name] = Object.keys(await import(`{(ROOT / "static").as_uri()}/${{name}}`)).sort();
        }} catch {{}}
      }}
      console.log(JSON.stringify(told));
    """
    told: dict[str, list[str]] = json.loads(node(code, tmp_path))
    assert len(told) > 10
    assert {name: sorted(exports_of(name)) for name in told} == told


def test_all_the_templates_ask_for_is_packed() -> None:
    made = packs()
    assert {"js/log/log.pack.js", "js/phone/install.pack.js", "css/strip-check-log.pack.css"} <= made.keys()
    # The pages for when all else failed ask nothing of the ledger, not even the names of its files.
    alone = {ROOT / "templates/500.html", ROOT / "templates/503.html"}
    for path in {*(ROOT / "templates").rglob("*.html")} - alone:
        text = path.read_text()
        assert 'rel="stylesheet"' not in text, f"{path}: use the tag sheets"
        assert "<script" not in text, f"{path}: use the tag module_script"
