"""What pick-up, proof and after-care order, in which order, and with which tools."""

import re

from tests.site.test_electrics_pages import place, section, steps
from tests.site.test_pages import sources

PAGES = sources()
AFTER_CARE = PAGES["stages/handover/after-care/"]


def one_line(markdown: str) -> str:
    return " ".join(markdown.replace("*", "").split())


def test_the_visit_measures_its_drop_by_the_safe_way_of_the_proof() -> None:
    """A pile on live terminals is an arc: the fuse is out while it is clipped, the leads are fused."""
    drop = steps(AFTER_CARE)[place(steps(AFTER_CARE), "Then the drop")]
    clipped = "main fuse out while you clip on and off"
    order = [clipped, "at zero", "47 Ω across the holder", "fuse in, resistor off", "pile up"]
    assert [drop.find(words) for words in order] == sorted(drop.find(words) for words in order)
    assert -1 not in [drop.find(words) for words in order]
    assert clipped in one_line(section(PAGES["stages/verification/supply-restart-heat/"], "Steps"))
    tools = one_line(section(AFTER_CARE, "Before you start"))
    for tool in ("carbon pile", "1 A fuse at the battery end", "47 Ω", "ear protection", "test fuses"):
        assert tool in tools


def test_the_visit_is_as_long_as_what_it_measures() -> None:
    """An hour of log after the vehicle's own time to sleep is no part of 45 minutes."""
    before = one_line(section(AFTER_CARE, "Before you start"))
    assert "45 minutes" not in before
    assert "an hour of log: it comes the evening before, or stays that much longer" in before
    assert "log for 60 minutes" in one_line(PAGES["stages/survey/electrical-health/"])
    asleep = steps(AFTER_CARE)[place(steps(AFTER_CARE), "what it draws asleep")]
    assert re.search(r"steps 10 to 13 of \[electrical health\]", asleep)


def test_a_warning_has_a_level_of_before_to_be_held_against() -> None:
    """At the head, by one meter, in one way: a level at the feed cannot be compared with it."""
    survey, chimes = PAGES["stages/survey/signal/"], PAGES["stages/pick-up/chimes/"]
    way = "head-rest, dB(A), fast, its maximum, doors shut, source muted"
    before, after = steps(survey), steps(chimes)
    found = before[place(before, "which feed carries each")]
    assert "at the driver's head" in found
    assert way in found
    assert way in after[place(after, "6 dB over it at most")]
    assert "step 12 of the [survey]" in one_line(section(chimes, "Before you start"))
    assert "which feed carries each" in before[11]
    assert "sound level meter" in section(survey, "Before you start")
    assert re.search(r"1 level at the driver's head for 100 % of the tones", section(survey, "Accept when"))


def test_what_plays_through_the_processor_waits_for_first_power() -> None:
    """Summing, flattening and chimes need supply: after first power and identity, flattening before gain."""
    (ninth,) = re.findall(r"^9\. .*?(?=^10\. )", PAGES["stages/"], re.MULTILINE | re.DOTALL)
    told = one_line(ninth)
    assert "fuse still out" in told
    assert told.index("summed") < told.index("waits until the processor has power")
    assert re.search(r"after \[channel identity\]\S*, before \[gain\]", told)
    for name in ("summing", "flattening"):
        before = one_line(section(PAGES[f"stages/pick-up/{name}/"], "Before you start"))
        assert re.search(
            r"\[first power\]\S+ and \[channel identity\]\S+ are signed", before, re.IGNORECASE
        ), name
    assert "flattening" in section(PAGES["stages/commissioning/gain/"], "Before you start").split("signed")[1]
    chimes = one_line(section(PAGES["stages/pick-up/chimes/"], "Before you start"))
    assert "Steps 1 and 2 belong to [tapping]" in chimes
    assert "each [preset](../tuning/presets.md) saved" in chimes
    off = one_line(section(PAGES["stages/pick-up/flattening/"], "Before you start"))
    assert off.index("tweeters unplugged") < off.index("every filter of the processor off")


def test_no_warning_loses_the_speaker_that_it_plays_from() -> None:
    """The first page that unplugs a speaker says which may never be: chimes come two pages later."""
    tapping = PAGES["stages/pick-up/tapping/"]
    kept = steps(tapping)[place(steps(tapping), "which feeds keep their speaker")]
    assert kept.index("safety tone or the emergency call keeps a factory speaker") < kept.index("unplugged")
    assert "S15" in tapping.split("```caution")[1].splitlines()[1]
    assert "0 safety tones are without a factory speaker" in section(tapping, "Accept when")


def test_the_delay_of_a_warning_s_path_is_measured_where_it_is_accepted() -> None:
    chimes = PAGES["stages/pick-up/chimes/"]
    measured = steps(chimes)[place(steps(chimes), "delay of the path")]
    assert "both in one recording" in measured
    assert "under 10 ms" in measured
    tools = one_line(section(chimes, "Before you start"))
    assert "two isolated taps and the battery recorder" in tools
    assert "stop watch" not in tools


def test_a_measuring_position_repeats_by_one_figure() -> None:
    measured, signed = PAGES["stages/verification/measured/"], PAGES["learn/sign-off/"]
    assert "taken away and put back, 63 Hz to 8 kHz | within 1 dB" in measured
    (row,) = re.findall(r"^\| P26 .*$", signed, re.MULTILINE)
    assert "within 1 dB in each third octave, 63 Hz to 8 kHz" in row
    assert "within 0.5 dB where nothing was touched" in row


def test_the_card_quoted_says_what_the_wiring_page_asks_of_it() -> None:
    """A part under 25 V, as the running job's of 20 V, bursts on a 24 V jump start."""
    quoted = one_line(section(PAGES["stages/handover/documents/"], "The running job"))
    assert "the fuses F3 and F5" in one_line(PAGES["stages/wiring/turn-on/"])
    assert "fuses, F3 and F5: under the left load-bay trim" in quoted
    assert "Jump start from a 24 V vehicle: F5, the capacitor's fuse, out first" in quoted


def test_air_comes_in_the_step_that_starts_the_engine_beside_a_customer() -> None:
    demonstration = steps(PAGES["stages/handover/demonstration/"])
    shown = demonstration[place(demonstration, "support charger off and away")]
    assert shown.index("Doors open or extraction coupled") < shown.index("Restart")
