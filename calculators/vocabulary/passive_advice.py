"""What is said of a passive crossover: load, strays, losses and heat."""

from calculators.declaring import Advice
from calculators.vocabulary.passive_circuits import Circuit

# Limits of the page on passive crossovers. Common practice, no source.
MOST_STRAY = 1.0
MOST_COIL = 1 / 20
LEAST_LOAD = 2.0
LOADS_ALIKE = 0.05


def circuit_advice(
    circuit: Circuit, woofer_load: float, coil_resistance: float, lowest: float, stray: float
) -> tuple[Advice, ...]:
    """Advice on a circuit.

    woofer_load, coil_resistance (of each coil), lowest (load the amplifier sees): Ω. stray: dB, by
    which one side strays from its filter at most.
    """
    return (
        Advice(
            "lowest_load",
            f"The amplifier sees as little as {lowest:.1f} Ω: use one that its maker rates for that load.",
            danger=lowest < LEAST_LOAD,
        ),
        *_stray_advice(stray),
        *_coil_advice(woofer_load, coil_resistance),
        *_zobel_advice(circuit, woofer_load),
        *_heat_advice(circuit),
    )


def _stray_advice(stray: float) -> tuple[Advice, ...]:
    if stray <= MOST_STRAY:
        return ()
    text = (
        f"One side strays from its filter by {stray:.1f} dB, more than 1: the chart says where. "
        "Near the crossover take the finer series, or make a value from two parts."
    )
    return (Advice("series", text),)


def _coil_advice(woofer_load: float, coil_resistance: float) -> tuple[Advice, ...]:
    if coil_resistance <= MOST_COIL * woofer_load:
        return ()
    text = (
        f"A coil's wire has more than a twentieth of the woofer's load, {MOST_COIL * woofer_load:.2g} Ω: it "
        "costs level and gets hot. Take thicker wire."
    )
    return (Advice("coil_resistance", text),)


def _zobel_advice(circuit: Circuit, woofer_load: float) -> tuple[Advice, ...]:
    resistance, inductance, _ = circuit.woofer_coil
    if inductance <= 0:
        return ()
    if circuit.zobel is None:
        text = "Without a Zobel the woofer's inductance lifts its load with frequency and spoils the slope."
        return (Advice("zobel", text),)
    if abs(woofer_load / resistance - 1) <= LOADS_ALIKE:
        return ()
    text = f"With the Zobel the crossover works into Re: type {resistance:g} Ω as the woofer load."
    return (Advice("woofer_load", text),)


def _heat_advice(circuit: Circuit) -> tuple[Advice, ...]:
    fitted = [name for name, part in (("a pad", circuit.pad), ("a Zobel", circuit.zobel)) if part is not None]
    if not fitted:
        return ()
    text = (
        f"Resistors of {' and '.join(fitted)} get hot: rate them for the power they take, and keep them off "
        "foam, carpet and board."
    )
    return (Advice("resistors", text),)
