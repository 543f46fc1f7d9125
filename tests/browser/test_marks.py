"""What a page remembers that is no form's, one way for all: ticks, choices, ways through trees."""

from collections.abc import Callable
from dataclasses import dataclass

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.test_kept_values import CHANGE_KEPT, KEPT, wait_until_kept
from tests.browser.test_storage import SILENT
from tests.browser.test_two_vehicles import CHOICE, COUPE, LONG_AGO, SAFE, TREE, VAN, open_job, phone
from tests.browser.test_unkept_job import ANOTHER_WRITE, REFUSE

__all__ = ["phone"]


@dataclass(frozen=True)
class Kind:
    """A mark: its page, how it is set, the field that is kept, and what stands there where it is set."""

    page: str
    set: Callable[[Page], None]
    kept: dict[str, str]
    shown: Callable[[Page], Locator]


KINDS = {
    "ticks": Kind(
        SAFE,
        lambda page: page.get_by_role("checkbox", name="Step 1 done", exact=True).check(),
        {"steps[1]": "yes"},
        lambda page: page.locator("[name='steps[1]']:checked"),
    ),
    "choice": Kind(
        CHOICE,
        lambda page: page.locator("[name='view Shown as'][value=samples]").check(force=True),
        {"view Shown as": "samples"},
        lambda page: page.locator("[name='view Shown as'][value=samples]:checked"),
    ),
    "way": Kind(
        TREE,
        lambda page: page.get_by_role("button", name="Start with test 1").click(),
        {"way[0]": "test-1"},
        lambda page: page.locator(".dc-walk").get_by_role("button", name="Go on where you were"),
    ),
}
each_kind = pytest.mark.parametrize("kind", KINDS.values(), ids=list(KINDS))


def come_anew(page: Page, address: str) -> None:
    """Without what stands behind # in the address: the first screen of a tree shows what is kept."""
    page.goto("about:blank")
    page.goto(address)


@each_kind
def test_a_page_that_was_left_open_is_looked_at_anew(phone: Page, server: str, kind: Kind) -> None:
    phone.goto(server + kind.page)
    kind.set(phone)
    wait_until_kept(phone, kind.kept)
    come_anew(phone, server + kind.page)
    expect(kind.shown(phone)).to_have_count(1)
    phone.evaluate(CHANGE_KEPT, {"typed": LONG_AGO, "at": LONG_AGO})
    phone.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(kind.shown(phone)).to_have_count(0)


@each_kind
def test_what_is_set_before_the_first_look_is_the_open_job_s(phone: Page, server: str, kind: Kind) -> None:
    phone.goto(server)
    open_job(phone, VAN)
    early = phone.context.new_page()
    early.add_init_script(SILENT)
    early.goto(server + kind.page)
    kind.set(early)
    early.evaluate("itOpens()")
    wait_until_kept(phone, kind.kept)
    come_anew(phone, server + kind.page)
    expect(kind.shown(phone)).to_have_count(1)
    assert {record["job"] for record in phone.evaluate(KEPT)} == {VAN[0]}, "it waits for another job too"
    open_job(phone, COUPE)
    expect(kind.shown(phone)).to_have_count(0)


@each_kind
def test_what_was_refused_is_kept_later_for_whom_it_was_set(phone: Page, server: str, kind: Kind) -> None:
    phone.goto(server + kind.page)
    open_job(phone, VAN)
    phone.evaluate(REFUSE)
    kind.set(phone)
    other = phone.context.new_page()
    other.goto(server + kind.page)
    open_job(other, COUPE)
    phone.evaluate("keepsAgain()")
    phone.evaluate(ANOTHER_WRITE)
    wait_until_kept(phone, kind.kept)
    come_anew(other, server + kind.page)
    expect(kind.shown(other)).to_have_count(0)
    open_job(other, VAN)
    expect(kind.shown(other)).to_have_count(1)
