"""How a mass that is added to a vehicle loads its axles."""

from calculators.physics.checking import require_finite, require_positive


def axle_changes(mass: float, station: float, wheelbase: float) -> tuple[float, float]:
    """What front and rear axle carry more, kg: m·(1 - x/L) and m·x/L.

    mass: kg, below 0 for what is taken out. station: m behind the front axle, below 0 in front of it;
    beyond the rear axle the front one gets lighter. wheelbase: m, above 0.
    Raises ValueError outside those ranges.
    Source: balance of moments.
    """
    require_finite(mass=mass, station=station)
    require_positive(wheelbase=wheelbase)
    rear = mass * station / wheelbase
    return mass - rear, rear
