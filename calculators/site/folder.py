"""The folder edition: the finished site as a ZIP whose pages open by a double-click, without a server.

    python -m calculators.site.folder site doorcard-folder.zip

A browser refuses a good deal to a page that it opened from a folder: addresses that end with a slash show a
list of files, modules do not load, nothing can be fetched, there is no service worker. So links name files,
the page's scripts are bundled into one of the old kind, and what they fetch lies there as scripts too
(`folder_scripts/from-folder.js`). Pages, answers and Python are the site's own.
"""

import argparse
import base64
import json
import re
import shutil
import sys
import tempfile
import zipfile
from pathlib import Path
from typing import Any

from calculators.site.bytecode import OLDEST_ZIP_DATE
from calculators.site.finish import JOINED
from calculators.site.given_start import START
from calculators.site.node_tools import ToolError, run_tool
from calculators.site.parts import PARTS
from calculators.site.runtime import read_manifest
from calculators.site.shortening import short_script
from calculators.site.steps import megabytes, step

SCRIPTS = Path(__file__).resolve().parent / "folder_scripts"
NAME = "doorcard"
"""The folder inside the ZIP."""
LEFT_OUT = (
    "_headers",
    "404.html",
    "manifest.webmanifest",
    "offline.json",
    "python",
    "service-worker.js",
    "sitemap.xml",
)
"""What is for a server, or for a browser that was given the pages by one."""
OWN_ASSETS = "assets/doorcard-*/"
FETCHED = (
    f"{OWN_ASSETS}runtime/*.bin",
    "assets/javascripts/workers/*.js",
    "job.json",
)
"""What the page's scripts fetch, or start as a worker."""

HREF = re.compile(r'(?<=\shref=")(?P<path>[^"#?:]+)(?=["#?])')
FOR_A_SERVER = re.compile(
    r'\s*(?:<link rel="(?:manifest|modulepreload)"[^>]*>|<script type="module" async [^>]*></script>)'
)
MODULE = re.compile(r'<script src="(?P<src>[^"]+)" type="module"></script>')
FIRST_SCRIPT = re.compile(r'<script src="(?P<folder>[^"]+)before-theme\.js"></script>')
NEEDS_FILES = 'if (!globalThis.doorcardFile) throw new Error("from-folder.js has not come whole.");\n'
"""The page's script brings nothing to life that could not be asked: then its places say what helps."""
BODY = re.compile(r"<body[^>]*>")
ALONE = (
    '<p class="dc-alone">This page is here without the files beside it. Unpack the whole ZIP, keep together '
    "what comes out of it, and open index.html there.</p>"
)
"""What a reader sees who opens a page inside the ZIP, or took it out alone."""
HIDDEN = ".dc-alone{display:none}"
"""The rule of the style sheet, which comes where the folder is whole."""
POLICY = re.compile(r'(?<=<meta http-equiv="Content-Security-Policy" content=")[^"]+')
INSTANT = re.compile(r'"navigation\.instant[^"]*",? ?')


def to_file(path: str) -> str:
    """The file that a link's path leads to: that of a folder is its page."""
    if path.rpartition("/")[2] in {".", ".."}:
        path += "/"
    return f"{path}index.html" if path.endswith("/") else path


def in_folder(page: str) -> str:
    """A page of the site as it stands in a folder."""
    page = HREF.sub(lambda link: to_file(link["path"]), page)
    page = FOR_A_SERVER.sub("", page)
    page = MODULE.sub(r'<script src="\g<src>" defer></script>', page)
    page = FIRST_SCRIPT.sub(r'<script src="\g<folder>from-folder.js"></script>\g<0>', page)
    page = INSTANT.sub("", page)
    page = BODY.sub(rf"\g<0>{ALONE}", page, count=1)
    return POLICY.sub(lambda policy: policy_in_folder(policy[0]), page)


def policy_in_folder(policy: str) -> str:
    """The site's policy without what a folder has not, and with workers made of what a script has brought."""
    kept = [part for part in policy.split("; ") if not part.startswith(("connect-src", "manifest-src"))]
    return "; ".join("worker-src blob:" if part.startswith("worker-src") else part for part in kept)


def search_index(text: str) -> str:
    """The search's index as the script that the theme loads in a folder."""
    index = json.loads(text)
    for entry in index["docs"]:
        path, mark, part = entry["location"].partition("#")
        entry["location"] = (to_file(path) if path else "index.html") + mark + part
    return f"var __index = {json.dumps(index, separators=(',', ':'))};\n"


def bundle(script: Path, address: str, *options: str) -> str:
    """One script of the old kind, made of a module and all that it imports.

    `address` is JavaScript for where the script lies. Raises ToolError if it cannot be made.
    """
    with tempfile.TemporaryDirectory() as temporary:
        out = Path(temporary) / "out.js"
        options = (
            *("--bundle", "--format=iife", "--minify-whitespace", "--log-level=error"),
            *("--external:node:*", "--external:ws"),
            "--define:import.meta.url=doorcardScript",
            f"--banner:js=const doorcardScript = {address};",
            *options,
        )
        if run_tool("esbuild/bin/esbuild", str(script), f"--outfile={out}", *options):
            raise ToolError(f"{script.name} could not be bundled.")
        return out.read_text(encoding="utf-8")


def worker_script(assets: Path) -> str:
    """The worker with Pyodide's two scripts inside, for it can import nothing later.

    The bundler turns an import on the way into a call of `require`, and that is given the loader.
    """
    runtime = assets / "runtime"
    files = read_manifest(runtime)["files"]
    glue, loader = (runtime / files[name]["name"] for name in ("glue", "loader"))
    entry = assets / "folder-worker.js"
    lines = f"""
        import * as loader from "./runtime/{loader.name}";
        import "./worker.js";
        globalThis.require = () => loader;
    """
    entry.write_text(lines, encoding="utf-8")
    ours = bundle(entry, "self.name", "--supported:dynamic-import=false")
    first = short_script((SCRIPTS / "worker-from-folder.js").read_bytes())
    return "\n".join((first.decode(), glue.read_text(encoding="utf-8"), ours))


def as_minified(manifest: dict[str, Any]) -> str:
    """A manifest as it stands in the worker's script."""
    return json.dumps(manifest, separators=(",", ":"))


def without_what_saves_waiting(assets: Path) -> None:
    """Leave out what is quicker to fetch over a network, which there is none of: parts, and the start."""
    runtime = assets / "runtime"
    manifest = read_manifest(runtime)
    listed = as_minified(manifest)
    shutil.rmtree(runtime / PARTS)
    manifest["parts"] = {}
    if manifest.pop(START, None):
        (runtime / manifest["files"].pop(START)["name"]).unlink()
    less = as_minified(manifest)
    worker = assets / "worker.js"
    before, _, after = worker.read_text(encoding="utf-8").partition(listed)
    assert after
    worker.write_text(f"{before}{less}{after}", encoding="utf-8")


def as_script(path: Path) -> None:
    """Put a file there as a script that hands over its bytes; another file of its own is not needed."""
    contents = base64.b64encode(path.read_bytes()).decode()
    path.with_name(f"{path.name}.js").write_text(f'doorcardFile("{contents}");\n', encoding="ascii")
    if path.name != "job.json":  # Readers keep that one.
        path.unlink()


def write_folder(site: Path, folder: Path) -> None:
    """Write the folder edition of a finished site into `folder`, which is not there yet."""
    shutil.copytree(site, folder, ignore=lambda where, _: LEFT_OUT if Path(where) == site else ())
    assets = next(folder.glob(OWN_ASSETS))
    without_what_saves_waiting(assets)
    page, worker = bundle(assets / "page.js", "document.currentScript.src"), worker_script(assets)
    for script in [*assets.glob("*.js"), *assets.glob("runtime/*.js")]:
        if script.name != "before-theme.js":
            script.unlink()
    with (assets / "style" / f"{JOINED}.css").open("a", encoding="utf-8", newline="\n") as style:
        style.write(HIDDEN)
    (assets / "from-folder.js").write_bytes(short_script((SCRIPTS / "from-folder.js").read_bytes()))
    (assets / "page.js").write_text(NEEDS_FILES + page, encoding="utf-8", newline="\n")
    (assets / "worker.js").write_text(worker, encoding="utf-8", newline="\n")
    for path in [assets / "worker.js", *(path for pattern in FETCHED for path in folder.glob(pattern))]:
        as_script(path)
    for path in folder.rglob("*.html"):
        path.write_text(in_folder(path.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")
    index = folder / "search" / "search_index.json"
    index.with_suffix(".js").write_text(search_index(index.read_text(encoding="utf-8")), encoding="utf-8")
    index.unlink()


def zip_folder(folder: Path, target: Path) -> None:
    """Pack a folder into a ZIP as `doorcard/`, undated, so that the same folder gives the same bytes."""
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(folder.rglob("*"), key=lambda path: path.as_posix()):
            if path.is_file():
                name = f"{NAME}/{path.relative_to(folder).as_posix()}"
                archive.writestr(
                    zipfile.ZipInfo(name, OLDEST_ZIP_DATE), path.read_bytes(), zipfile.ZIP_DEFLATED
                )


def main(arguments: list[str] | None = None) -> int:
    """Make the ZIP of a finished site; return the exit status."""
    parser = argparse.ArgumentParser(prog="python -m calculators.site.folder")
    parser.add_argument("site", type=Path, help="the folder that ./run build wrote")
    parser.add_argument("zip", type=Path, help="the ZIP to write")
    chosen = parser.parse_args(arguments)
    try:
        with step(f"Folder edition, {chosen.zip}") as said, tempfile.TemporaryDirectory() as temporary:
            folder = Path(temporary) / NAME
            write_folder(chosen.site, folder)
            zip_folder(folder, chosen.zip)
            said.append(megabytes(chosen.zip.stat().st_size))
    except ToolError as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
