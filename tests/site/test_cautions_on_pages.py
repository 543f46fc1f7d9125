"""Every page on which the hand acts prints the caution in full: one table of words, the whole site."""

import re

import pytest

from calculators.cautions import CAUTIONS
from calculators.stages import find_calculator
from tests.site.dangers import DANGERS, ONLY_NAMED, READ_AT_HOME, Danger
from tests.site.test_pages import FENCE, fences, sources


def printed(markdown: str) -> set[str]:
    """The cautions that a page prints whole: by its own fences, and below its calculators."""
    keys: set[str] = set()
    for word, body in fences(markdown):
        if word == "caution":
            keys.update(body.split())
        if word == "calculator":
            keys.update(find_calculator(body.split()[0]).cautions)
    return keys


def prose(markdown: str) -> str:
    """What the page says in its own words, on one line."""
    without_targets = re.sub(r"\]\([^)]*\)", "]", FENCE.sub(" ", markdown))
    return " ".join(re.sub(r"[*`\[\]]", "", without_targets).split())


def owed(address: str, markdown: str) -> list[str]:
    """The cautions that a page owes and does not print, each with the words that ask for it."""
    if address.startswith(READ_AT_HOME):
        return []
    said, shown, missing = prose(markdown), printed(markdown), []
    for danger in DANGERS:
        for found in sorted({match[0] for match in re.finditer(danger.pattern, said, re.IGNORECASE)}):
            lacking = sorted({*danger.cautions.split()} - shown)
            if lacking and (address, found) not in ONLY_NAMED:
                missing.append(f"{address}: “{found}” asks for {' '.join(lacking)}")
    return missing


def test_the_table_is_whole() -> None:
    assert len(DANGERS) >= 40
    assert len({danger.pattern for danger in DANGERS}) == len(DANGERS)


@pytest.mark.parametrize("danger", DANGERS, ids=lambda danger: danger.example)
def test_each_row_finds_its_example_and_names_cautions(danger: Danger) -> None:
    assert re.search(danger.pattern, danger.example, re.IGNORECASE)
    assert set(danger.cautions.split()) <= set(CAUTIONS)
    assert owed("a page", danger.example), "a page with these words alone would pass"


def test_every_page_prints_the_cautions_its_words_ask_for() -> None:
    missing = [line for address, markdown in sources().items() for line in owed(address, markdown)]
    assert not missing, "\n".join(missing)


@pytest.mark.parametrize("key", ["S05", "S14", "S23"])
def test_a_page_that_loses_a_caution_is_found(key: str) -> None:
    """Drilling, tones, a running engine: wherever a fence prints the caution, the words ask for it."""
    for address, markdown in sources().items():
        without = re.sub(rf"^((?:S\d\d )*){key}\b ?", r"\1", markdown, flags=re.MULTILINE)
        if without != markdown and key not in printed(without):
            assert any(key in line for line in owed(address, without)), (
                f"{address}: {key} could go and nobody would see"
            )


def test_each_exception_is_still_needed() -> None:
    """An exception stands for exact words that its page says and that a row would ask about."""
    pages = sources()
    for address, named in ONLY_NAMED:
        assert named in prose(pages[address]), (address, named)
        rows = [danger for danger in DANGERS if re.fullmatch(danger.pattern, named, re.IGNORECASE)]
        owing = {key for danger in rows for key in danger.cautions.split()}
        assert owing - printed(pages[address]), (address, named)
