"""What the tuning pages order, in which order, and whether their limits can be met."""

import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calculators import __main__ as command_line
from calculators.declaring import run_values
from calculators.physics import decibels, filters, filters_alike, sides_alike, tuning_search
from calculators.presenting import recorder
from calculators.site.fences import body, run_example
from calculators.stages import find_calculator
from calculators.vocabulary import tune_bass, tune_seats, tune_steps
from calculators.vocabulary.filters import PASSES_RAISE
from tests.conftest import ROOT
from tests.site.test_electrics_pages import place, section, steps
from tests.site.test_pages import fences, sources

PAGES = sources()
CROSSOVERS = PAGES["stages/tuning/crossovers/"]
JOINING = PAGES["stages/tuning/joining/"]
PASSIVE = PAGES["stages/design/passive-crossovers/"]


def one_line(markdown: str) -> str:
    return " ".join(markdown.replace("*", "").split())


READ_BACK = re.compile(r"\bread\b[^.|;]{0,25}\bback\b|\bread-back\b", re.IGNORECASE)
ITS_FORM = re.compile(r"\((\.\./tuning/)?(tune\.md)?#read-back\)")


def test_whoever_is_told_to_read_back_is_led_to_the_form() -> None:
    """From the tuning on, pages and fault trees that hold the processor against its sheet."""
    told = {
        f"{path.parent.name}/{path.name}": path.read_text(encoding="utf-8")
        for folder in ("tuning", "verification", "handover", "faults")
        for path in (ROOT / "docs" / "stages" / folder).iterdir()
    }
    told = {name: page for name, page in told.items() if READ_BACK.search(page)}
    assert {"faults/image.yml", "faults/thin-bass.yml", "tuning/presets.md"} < set(told)
    assert [name for name, page in told.items() if not ITS_FORM.search(page)] == []
    assert "(tune.md#read-back)" in section(PAGES["stages/tuning/presets/"], "Steps")


def notch(family: filters.Family, order: int) -> float:
    """dB between the fuller and the thinner sum of two filters at their corner."""
    low, high = (
        filters.response(filters.crossover_filter(side, family, order, 80.0), np.array([80.0]))
        for side in ("low-pass", "high-pass")
    )
    return float(abs(decibels.level(low + high) - decibels.level(low - high))[0])


def test_the_join_check_can_be_passed_by_every_family_it_is_asked_of() -> None:
    """Bessel 24 dB/oct has 4.5 dB between its polarities: no tuning makes them 10."""
    loose = [6 * order for order in range(1, 9) if notch("bessel", order) < 10]
    assert loose == [6, 24, 30, 36]
    words = "Bessel of 6, 24, 30 and 36 dB/oct"
    assert words in one_line(section(CROSSOVERS, "Accept when"))
    assert words in one_line(section(CROSSOVERS, "Steps"))
    assert words in one_line(section(JOINING, "Steps"))
    assert words in one_line(section(JOINING, "Accept when"))
    assert all(notch("butterworth", order) < 0.01 for order in (1, 3, 5, 7))
    assert all(notch("butterworth", order) > 40 for order in (2, 4, 6, 8))
    assert notch("bessel", 2) > 10 > notch("bessel", 4)
    assert "Bessel of order 4 excepted" in one_line(section(PASSIVE, "Accept when"))


def test_a_door_beside_a_closed_box_gets_the_subwoofers_filter() -> None:
    """Phase over 50 to 125 Hz, by hand, 45 and 70 Hz, Q 0.8: only one without a box wants 12 dB/oct."""
    at = np.geomspace(50, 125, 101)

    def falls(resonance: float) -> Any:
        return 1 / (1 - (resonance / at) ** 2 - 1j * resonance / at / 0.8)

    def apart(high_pass: Any, box: Any) -> float:
        """Farthest, degrees, at the best of many delays."""
        s = 1j * at / 80
        against = box / (s**2 + 2**0.5 * s + 1) ** 2 / (high_pass * falls(70))
        late = np.arange(-6e-3, 6e-3, 2e-5)[:, np.newaxis]
        return float(
            np.min(np.max(np.abs(np.degrees(np.angle(against * np.exp(2j * np.pi * at * late)))), 1))
        )

    s = 1j * at / 80
    shallow = s**2 / (s**2 + 2**0.5 * s + 1)
    assert apart(shallow**2, falls(45)) < 30 < apart(shallow, falls(45))
    assert apart(shallow, 1.0) < 30 < apart(shallow**2, 1.0)
    told = one_line(section(JOINING, "Steps"))
    assert (
        "A subwoofer in a closed box falls by 12 dB an octave by itself, as the door does. So give both"
        in told
    )
    assert "only to a subwoofer that does not fall by itself in the bass" in told
    found = run_values(
        find_calculator("acoustic-slope"),
        {"corner": 80.0, "driver_frequency": 70.0, "driver_q": 0.8, "partner_frequency": 45.0},
    ).result
    assert f"front_corner: {found.nearest_corner:.3g}\n" in JOINING


@pytest.mark.parametrize(
    ("page", "own"),
    [(CROSSOVERS, "turned over from the polarity of step 8"), (PASSIVE, "With the polarity of the family")],
)
def test_a_join_is_proven_against_its_own_polarity(page: str, own: str) -> None:
    """Where the table says "high reversed", the high as wired makes the notch."""
    accepted = one_line(section(page, "Accept when"))
    assert own in accepted
    assert not re.search(r"with the (high|tweeter) reversed", accepted, re.IGNORECASE)


def test_at_a_subwoofers_join_the_subwoofer_is_turned() -> None:
    lines = steps(CROSSOVERS)
    check = lines[place(lines, "join check, with delays and levels set")]
    assert "the subwoofer at the subwoofer's join and never a door" in check
    assert "Reverse the high" not in check


def test_a_delay_is_never_shifted_to_fill_a_notch() -> None:
    text = one_line(section(CROSSOVERS, "Steps"))
    assert "or the delay by half a cycle" not in text
    assert "measured again, never shifted by ear or by the sum" in text
    passive = one_line(section(PASSIVE, "Steps"))
    assert "Keep the polarity that fills" not in passive
    assert "If neither does, the distances differ" in passive
    assert "on the axis you listen on" in passive


def test_a_tweeter_is_looked_at_from_its_danger_line_up() -> None:
    """Half an octave under 3 kHz is 2121 Hz, below a danger line of 2200 Hz."""
    for text in (
        *steps(CROSSOVERS),
        *re.findall(r"^- (.*(?:\n  .*)*)", section(CROSSOVERS, "Accept when"), re.M),
    ):
        if "half an octave" in text or "Sweep each driver" in text:
            assert "danger line" in text, text


def test_a_join_is_reversed_in_the_processor_after_the_wiring_is_proven() -> None:
    lines = steps(CROSSOVERS)
    text = lines[place(lines, "set the polarity that the family and slope ask for")]
    assert "in the processor, after the wiring is proven positive" in text
    assert "job sheet" in text
    identity = one_line(PAGES["stages/commissioning/channel-identity/"])
    assert "the reversal that a join asks for" in identity


TIME = PAGES["stages/tuning/time-alignment/"]
LEVELS = PAGES["stages/tuning/levels/"]
GAIN = PAGES["stages/commissioning/gain/"]


def test_a_voice_is_judged_by_the_calculators_place_and_again_after_levels() -> None:
    """With arrivals and levels equal the voice stands 22 cm off the nose: that is no fault to mend."""
    lines = steps(TIME)
    assert "leans to one side of the wheel" not in one_line(TIME)
    evened = lines[place(lines, "levels are not set yet")]
    assert "same reading" in evened
    assert "provisional" in evened
    assert (
        "elsewhere than the calculator's place" in lines[place(lines, "compare the levels of the two sides")]
    )
    assert "do steps 10 to 13 once more" in lines[place(lines, "go on to levels|go on to .levels")]
    assert place(lines, "levels are not set yet") == 9
    assert "asks in steps 10 to 13" in one_line(section(LEVELS, "Steps"))


def test_delays_can_be_accepted_by_tape_alone() -> None:
    tools = one_line(section(TIME, "Before you start"))
    assert 'For what is marked "measured"' in tools
    accepted = one_line(section(TIME, "Accept when"))
    assert accepted.count("By tape:") == 2


def test_every_noise_that_a_step_plays_is_among_the_tools() -> None:
    tools = one_line(section(LEVELS, "Before you start"))
    for band in ("40 to 63 Hz", "315 Hz to 2.5 kHz", "3.15 to 12.5 kHz", "315 Hz to 5 kHz", "half octaves"):
        assert band in tools
    lines = steps(LEVELS)
    compared = place(lines, "woofer and tweeter of one side together")
    assert compared > place(lines, "enter the trims")
    assert not any(re.search("pair by pair", line, re.IGNORECASE) for line in lines)


def test_a_limiter_out_of_the_tones_reach_is_proven_lowered() -> None:
    """Tweeter: target 8.39 V, 3 dB more is 11.85 V, its peak limiter holds 16.73 V."""
    lines = steps(GAIN)
    text = lines[place(lines, "limiters")]
    assert "proven lowered" in text
    assert "read it back" in text
    assert "Never play louder" in text
    assert "every threshold was read back" in one_line(section(GAIN, "Accept when"))


def test_a_dip_that_goes_with_the_other_channel_is_not_left_alone() -> None:
    text = one_line(PAGES["stages/tuning/equaliser/"])
    assert "a, c or d: leave it alone. b: go back" in text
    assert "from a to c, and the dip is left alone" not in text


def test_the_subwoofers_wish_is_read_off_the_target() -> None:
    """The running job wishes 8 dB: its target at 50 Hz, 7.6 dB over 1 kHz, in whole decibels."""
    wished = json.loads((ROOT / "docs/job.json").read_text("utf-8"))["tuning"]
    outcome = run_values(find_calculator("target-curve"), dict(wished["target"]))
    assert round(outcome.result.bass_level) == wished["channels"][-1]["offset"]
    assert "its level at 50 Hz" in one_line(section(LEVELS, "Steps"))
    assert "target.bass_level" in section(LEVELS, "The running job")


LIMITS_OF_THE_PROOF = {
    "Response against the target, a point left out, RMS": ("stages/tuning/equaliser/", "2.5 dB RMS"),
    "Left against right, 300 Hz to 5 kHz, worst third octave": (
        "stages/tuning/equaliser/", "any third octave, 300 Hz to 5 kHz, averaged | 1 dB | common practice"
    ),
    "Loss at the joins": ("stages/tuning/joining/", "mean loss better than −0.5 dB"),
    "Channels reversed": ("stages/verification/measured/", "every direct sound “certain”"),
    "Delay, tweeter against its woofer": (
        "stages/tuning/time-alignment/", "Tweeter against its own woofer | 0.02 ms"
    ),
    "Harmonics, 100 Hz to 8 kHz, where noise reads 75 dB(A)": (
        "stages/verification/measured/", "Harmonics 2 to 5, 100 Hz to 8 kHz | 3 % or less | common practice"
    ),
    "Harmonics, 40 to 100 Hz, at the same drive": (
        "stages/verification/measured/", "The same, 40 to 100 Hz | 10 % or less | common practice"
    ),
    "Asleep, added": ("stages/verification/supply-restart-heat/", "5 mA added or less | common practice"),
    "Amplifier's margin in a restart": (
        "stages/verification/supply-restart-heat/", "1.0 V over each one's minimum | common practice"
    ),
}  # fmt: skip
"""Each limit that a new job takes over, and the row of the page that says it and what it rests on."""


def test_every_limit_that_a_new_job_takes_over_stands_on_a_page_with_what_it_rests_on() -> None:
    told = json.loads((ROOT / "docs/job.json").read_text(encoding="utf-8"))["sheet"]["proof"]
    taken = {
        line["name"]: line.get("least", line.get("most"))
        for line in told
        if isinstance(line.get("least", line.get("most")), float | int)
    }
    assert taken.keys() == LIMITS_OF_THE_PROOF.keys()
    for name, (page, words) in LIMITS_OF_THE_PROOF.items():
        assert words in one_line(PAGES[page]), name
        figure = re.search(r"(\d+(?:\.\d+)?) (mA|dB|ms|%|V)(?: |$)", words.rpartition("kHz")[2])
        if figure:
            scale = 1000 if figure[2] == "mA" else 1
            assert float(figure[1]) == pytest.approx(scale * taken[name]), name


def test_the_page_tells_by_which_figures_the_recorder_goes_and_whence_they_come() -> None:
    folder = ROOT / "docs/assets/doorcard"
    script = "".join((folder / name).read_text(encoding="utf-8") for name in ("recorder.js", "peaks.js"))
    clearly, louder = (re.findall(rf"const {name} = (\d+);", script)[0] for name in ("CLEARLY", "LOUDER"))
    told = one_line(PAGES["stages/tuning/measuring/"])
    assert "comes from simulated sound and our own choice" in told
    assert f"stands {clearly} dB over the quietest" in told
    assert f"between −{-recorder.TOO_QUIET} and −{-recorder.TOO_LOUD} dB of full scale" in told
    assert f"plays at −{-recorder.FIRST} dB, each further one {louder} dB louder" in told
    assert f"none over −{-recorder.LEVELS[-1]} dB" in told


def test_a_filter_of_many_taps_leaves_the_levels_and_plays_softly_first() -> None:
    told = one_line(section(PAGES["stages/tuning/fir/"], "Steps"))
    for words in (
        "in front of every channel alike",
        "In the copy this channel's equaliser is off",
        "its twin",
    ):
        assert words in told
    places = [
        told.index(words)
        for words in (
            "Load the coefficients",
            "Delay every other channel, the subwoofer too, by what the form says",
            "player well down",
            "every delay 0, those of step 8 too",
            "nothing is added to them",
            "Measure again",
        )
    ]
    assert places == sorted(places)


def test_the_sheet_of_the_filters_is_typed_in_before_they_are_loaded_and_anything_plays() -> None:
    told = one_line(section(PAGES["stages/tuning/tune/"], "Work it out").split("To load them:")[1])
    order = (
        "Work in a copy. Amplifier off",
        "type the sheet that these files belong to: every delay, gain and filter",
        "the trim in front",
        "Nothing of the old sheet stays",
        "read everything back",
        "Each file into the channel",
        "the four signs",
        "Amplifier on",
        "from no volume up",
        "measure the arrival",
    )
    places = [told.index(words) for words in order]
    assert places == sorted(places)


def test_the_running_jobs_voice_stands_where_its_own_calculation_puts_it() -> None:
    tweeters = json.loads((ROOT / "docs/job.json").read_text(encoding="utf-8"))["geometry"]["tweeters"]
    image = run_values(find_calculator("voice-place"), tweeters).result.image
    for page in ("stages/verification/by-ear/", "stages/handover/demonstration/"):
        told = re.findall(r"(\d+) mm right of straight ahead", PAGES[page])
        assert told
        assert all(abs(int(each) / 1000 - image) < 0.1 for each in told)
    accept = section(PAGES["stages/verification/by-ear/"], "Accept when")
    assert "within 100 mm of its place" in accept


def test_the_subwoofers_join_is_accepted_by_phase_too() -> None:
    step = one_line(section(JOINING, "Steps")).split(" 9. ")[1].split(" 10. ")[0]
    assert "“farthest apart” is 30° or less" in step
    (line,) = [
        each for each in one_line(section(JOINING, "Accept when")).split(" - ") if "Subwoofer with" in each
    ]
    assert "fixed point each door and the subwoofer farthest apart by 30° or less" in line


def test_headroom_is_one_rule_on_all_pages() -> None:
    rule = one_line(PAGES["stages/tuning/equaliser/"])
    assert f"and {PASSES_RAISE:g} dB more where passes or all-passes are in line" in rule
    assert "take this figure, and add nothing" in rule
    tune = one_line(section(PAGES["stages/tuning/tune/"], "Numbers"))
    assert f"{PASSES_RAISE:g} dB more where passes or all-passes are in line" in tune
    fir = one_line(PAGES["stages/tuning/fir/"])
    assert f"the {PASSES_RAISE:g} dB that [passes ask for](equaliser.md#headroom) are in the tune's" in fir
    assert f"Add {PASSES_RAISE:g} dB of reserve" in one_line(PAGES["stages/design/gain-structure/"])


def test_both_pages_say_why_the_tune_may_pass_the_limits_of_the_hand() -> None:
    equaliser, tune = PAGES["stages/tuning/equaliser/"], PAGES["stages/tuning/tune/"]
    led = "tune.md#what-is-checked-in-place-of-the-hands-limits"
    assert led in section(equaliser, "Steps")
    assert led in section(equaliser, "Numbers")
    told = one_line(tune.split("### What is checked in place of the hand's limits")[1].split("\n## ")[0])
    for words in ("Q of 2 or less and 3 dB", "limit is 1 dB",
                  "no fit has seen", "mono speech", "highest Q 2"):  # fmt: skip
        assert words in told


def test_the_page_of_the_tune_tells_its_limits_as_they_are() -> None:
    told = one_line(section(PAGES["stages/tuning/tune/"], "Numbers"))
    near = tune_bass.BASS_NEAR * 1e3
    for words in (
        f"farther than {tune_seats.STRAINED:g} dB RMS from the target",
        f"of two seats the farther one more than {tune_seats.STRAINED_AT_TWO:g} dB",
        f"{tuning_search.FAR_BEGINNINGS} other beginnings",
        f"the best {tuning_search.FOLLOWED} to the end",
        f"does the work of two within {filters_alike.AS_ONE:g} dB",
        f"more than {tune_steps.NEAREST_LOOSE[1]:.0%} of what it may be off".replace("%", " %"),
        f"within {near:g} ms betters by {tune_bass.BASS_LACKS:g} dB",
        f"no seat lies {tune_steps.NO_WORSE:g} dB farther off",
        f"each third octave in which they would differ by more than {sides_alike.NOTE_APART:g} dB",
    ):
        assert words in told


def test_the_command_beside_a_form_makes_the_forms_file(tmp_path: Path) -> None:
    """Byte for byte, as the page of test signals says: sweep and noise."""
    page = PAGES["stages/tuning/test-signals/"]
    forms = dict(body(source) for word, source in fences(page) if word == "calculator")
    commands = re.findall(r"`python -m calculators ((\w+) [^`]*) --out FILE`", page)
    assert [slug for _, slug in commands] == ["sweep", "noise"]
    for words, slug in commands:
        typed, formed = tmp_path / f"{slug} typed.wav", tmp_path / f"{slug} formed.wav"
        assert command_line.main([*words.split(), "--out", str(typed)]) == 0
        forms[slug].pop("as")
        command_line.write_files(run_example(slug, forms[slug]), formed, [])
        assert typed.read_bytes() == formed.read_bytes(), slug


def test_the_burst_proves_the_delays_that_were_typed_in_and_the_amplifier_is_off_while_they_are() -> None:
    said = " ".join(steps(PAGES["stages/tuning/tune/"]))
    order = ("Amplifier off", "Type it in", "Read everything back", "from no volume up", "(joining.md#steps)")
    assert [said.index(words) for words in order] == sorted(said.index(words) for words in order)


def test_presets_are_compared_by_what_their_tools_read() -> None:
    """A sound level meter reads dB(A), and no loudness units."""
    presets = PAGES["stages/tuning/presets/"]
    assert "sound level meter" in section(presets, "Before you start")
    assert "dB(A), mean of 30 s" in one_line(section(presets, "Steps"))
    assert "within 0.5 dB(A)" in one_line(section(presets, "Accept when"))
    assert not re.search(r"\bLU\b", presets)


def test_late_is_told_as_each_column_has_it() -> None:
    """By hand, a low-pass LR24 of 80 Hz: 5.6 ms far below, and 6.8 ms just under the corner."""
    low = filters.crossover_filter("low-pass", "linkwitz-riley", 4, 80.0)
    delays = [1000 * float(filters.group_delay(low, at)) for at in (0.08, 50.0)]
    assert delays == pytest.approx([5.63, 6.8], abs=0.05)
    told = one_line(CROSSOVERS)
    assert '"very low bass" and "far below" are a low-pass far under its corner' in told
