"""What is asked of Firefox is asked where there is one."""

from tests.firefox import firefox_path

collect_ignore = [] if firefox_path() else ["test_firefox.py"]
