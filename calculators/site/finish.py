"""Finishing."""
def finish(site_dir: str) -> None:
    """Finish."""
