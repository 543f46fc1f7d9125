"""What the list for offline use says of a folder."""

import gzip
import json
from pathlib import Path

from calculators.site.offline_list import write_offline_list


def test_it_adds_up_what_is_fetched_and_what_lies_on_the_device(tmp_path: Path) -> None:
    page, packed = b"<p>word word word</p>" * 100, bytes(range(256))
    (tmp_path / "index.html").write_bytes(page)
    (tmp_path / "a.bin").write_bytes(packed)
    (tmp_path / "service-worker.js").write_bytes(b"")
    told = json.loads(write_offline_list(tmp_path))
    small = len(gzip.compress(page, compresslevel=6))
    assert told["files"]["./"]["packed"] == small < 100
    assert "packed" not in told["files"]["a.bin"]
    assert (told["size"], told["kept"]) == (len(page) + 256, small + 256)
