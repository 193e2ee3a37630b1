"""How heavy a case may be to lift by the revised lifting equation: what the cautions of the file are held to.

Equation and multipliers: Waters, Putz-Anderson and Garg, Applications Manual for the Revised NIOSH Lifting
Equation, DHHS (NIOSH) publication 94-110, revised September 2021. Metric form: lengths in cm, angle in degrees.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

LOAD_CONSTANT_KG: Final = 23.0
TWO_PEOPLE_KG: Final = 16.0  # common practice of service depots, no source


@dataclass(frozen=True, slots=True)
class Lift:
    """One lifting task.

    ``reach_cm`` hands to ankles, ``height_cm`` hands above floor at the start, ``travel_cm`` vertical distance,
    ``twist_deg`` of the trunk, ``frequency`` and ``coupling`` multipliers from the manual's tables (1 is best).
    """

    reach_cm: float
    height_cm: float
    travel_cm: float
    twist_deg: float = 0.0
    frequency: float = 1.0
    coupling: float = 1.0


# Floor to waist, arms out 38 cm, one lift a minute for under an hour (0.94), a fair grip (0.95).
FLOOR_LIFT: Final = Lift(reach_cm=38, height_cm=15, travel_cm=60, frequency=0.94, coupling=0.95)


def recommended_weight_kg(lift: Lift) -> float:
    """The recommended weight limit in kg of a lifting task; 0 where the equation allows no lift at all."""
    if lift.reach_cm > 63 or lift.twist_deg > 135 or not 0 <= lift.height_cm <= 175 or lift.travel_cm > 175:
        return 0.0
    horizontal = 25 / max(25.0, lift.reach_cm)
    vertical = 1 - 0.003 * abs(lift.height_cm - 75)
    distance = 0.82 + 4.5 / max(25.0, lift.travel_cm)
    asymmetric = 1 - 0.0032 * lift.twist_deg
    return LOAD_CONSTANT_KG * horizontal * vertical * distance * asymmetric * lift.frequency * lift.coupling
