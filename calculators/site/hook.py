"""MkDocs is met here alone: what is said while it builds, and the folder finished afterwards."""

import time
from typing import Any

from calculators.site.finish import finish

started = time.perf_counter()


def on_env(env: Any, config: Any, files: Any) -> Any:
    """Say how long the pages took: MkDocs has turned all of them into HTML by now."""
    pages = len(files.documentation_pages())
    print(f"   Pages read and worked out, {pages} of them: {time.perf_counter() - started:.1f} s", flush=True)
    return env


def on_post_build(config: Any) -> None:
    """Finish the built folder."""
    finish(config["site_dir"])
