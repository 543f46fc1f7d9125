"""What is said of a fuse that was judged."""

from dataclasses import dataclass

from calculators.declaring import Advice
from calculators.declaring.numerals import figures
from calculators.physics import fuses
from calculators.vocabulary.cabling import CURRENTS_NOTE, sheath_advice, voltage_advice


@dataclass(frozen=True)
class JudgedFuse:
    """What the advice on a fuse rests on.

    ``least_area``: m², of the smallest cable that carries such a fuse, None where none does. ``by_rating``:
    ampere of the fuse that suits where its kind is left open, None where none does. ``battery_alone``: ampere
    that the cold battery gives into no ohm at all. ``battery_known``: whether anything of it was typed.
    """

    choice: fuses.FuseChoice
    rating: float | None
    kind: fuses.FuseType | None
    carried: float
    limit: float
    air: float
    near: float
    check: fuses.FaultCheck | None
    supply: float
    least_area: float | None
    by_rating: float | None
    battery_alone: float
    battery_known: bool


def fuse_advice(judged: JudgedFuse, distance: float) -> tuple[Advice, ...]:
    """What burns, and what to read on the data sheets."""
    advice = voltage_advice(judged.supply, judged.kind)
    too_hot = sheath_advice(judged.limit, judged.air)
    if too_hot:
        advice += too_hot
    elif judged.choice.rating is None:
        advice.append(
            Advice(
                "rating",
                f"No fuse suits: this load needs {figures(judged.choice.wanted, 3)} A or more and the cable "
                f"may carry {figures(judged.carried, 3)} A. {_other_ways(judged)}",
                danger=True,
            )
        )
    if distance > fuses.FUSE_DISTANCE_LIMIT:
        advice.append(
            Advice(
                "distance",
                f"{distance * 1000:.0f} mm of cable between battery and fuse has nothing to protect it: "
                "chafed through, it burns. Fit the fuse within 300 mm, 450 mm at the very most (common "
                "practice, no source; local code rules).",
                danger=True,
            )
        )
    elif distance > fuses.FUSE_DISTANCE:
        advice.append(
            Advice("distance", "Fit the fuse within 300 mm of the battery; over 450 mm there is no excuse.")
        )
    if judged.check is not None and not judged.check.passes:
        advice.append(
            Advice(
                "fault_passes",
                "A short circuit at the far end may not open this fuse before the cable is spoilt. "
                f"{_against_fault(judged)}",
                danger=True,
            )
        )
    if judged.rating is not None and judged.kind is not None:
        advice.append(Advice("near_fault", _breaking_words(judged.kind, judged.near)))
    advice.append(Advice("cable_current", CURRENTS_NOTE))
    if judged.rating is not None:
        slow = (
            "A blade fuse at 135 % of its rating may take ten minutes to open. "
            if judged.kind is fuses.BLADE
            else "A strip may take half an hour or more to open at what surely opens it. "
        )
        advice.append(
            Advice(
                "opening_time",
                f"{slow}How fast the fuse opens is counted from memory: check its data sheet. A fuse tires "
                "in heat: at 80 °C it carries 10 to 20 % less (common practice, no source). Local code, and "
                "the vehicle maker's fuse plan, stand above this.",
            )
        )
    return tuple(advice)


def _other_ways(judged: JudgedFuse) -> str:
    """What to do where no fuse of the kind that was chosen suits load and cable."""
    if judged.by_rating is not None:
        return f"One of another kind does: {judged.by_rating:g} A, “by its rating”."
    if judged.choice.wanted > fuses.FUSE_RATINGS[-1] * (1 + 1e-9):
        return (
            f"None goes over {fuses.FUSE_RATINGS[-1]:g} A: two feeds to two amplifiers, each with its own "
            "fuse, and never joined again on one terminal."
        )
    size = (
        "Find a cooler route, or a sheath that stands more heat, for no size of this one does"
        if judged.least_area is None
        else f"Fit a cable of {figures(judged.least_area * 1e6, 3)} mm² or more, which bears such a fuse, "
        "or one whose sheath stands more heat, or find a cooler route"
    )
    return f"{size}; never a larger fuse: the cable burns first."


def _against_fault(judged: JudgedFuse) -> str:
    """What makes a short circuit at the far end open the fuse."""
    if not judged.battery_known:
        return (
            "Nothing is typed of the battery, so a weak one is counted: type its cold-crank rating. If it is "
            "no better: shorten the run, better the return, or fit a larger cable."
        )
    rating = judged.choice.rating or judged.choice.most
    if rating is None or fuses.longest_opening_time(judged.battery_alone, rating, judged.kind) is not None:
        return "Shorten the run, better the return, or fit a larger cable."
    return (
        f"Cold, this battery gives {figures(judged.battery_alone, 3)} A and no more, which need not open a "
        f"fuse of {rating:g} A by any cable: a stronger battery, or two feeds with smaller fuses."
    )


def _breaking_words(kind: fuses.FuseType, near: float) -> str:
    """Whether this kind of fuse can break the short circuit right behind the battery."""
    memory = "" if kind is fuses.BLADE else ", from memory"
    made = f"a {kind.name} fuse is made to break {kind.breaking_capacity:.0f} A{memory}"
    words = f"Right behind the battery a short circuit reaches {near:.0f} A, and {made}"
    if near <= kind.breaking_capacity:
        return f"{words}: enough, if its data sheet says the same."
    behind = (
        " Blades belong behind such a fuse, where metres of cable have tamed the current."
        if kind is fuses.BLADE
        else ""
    )
    return (
        f"{words}. At the battery fit a bolt-down fuse whose data sheet names {near:.0f} A or more.{behind}"
    )
