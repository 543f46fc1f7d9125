"""What is asked of Firefox is asked where there is one; memory, where the system tells it, as Linux does."""

from pathlib import Path

from tests.firefox import firefox_path

SEEN = {"test_firefox.py": firefox_path(), "test_memory.py": Path("/proc/self/smaps_rollup").exists()}
collect_ignore = [name for name, there in SEEN.items() if not there]
