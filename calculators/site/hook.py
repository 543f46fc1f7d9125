"""MkDocs is met here alone: after a build, the folder is finished."""

from calculators.site.finish import finish


def on_post_build(config: dict[str, str]) -> None:
    """Finish the built folder."""
    finish(config["site_dir"])
