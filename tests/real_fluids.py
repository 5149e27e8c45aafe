"""CoolProp, loaded by the first test that asks it: each worker collects all tests, and loading it
takes seconds."""

from typing import Any


def properties(*state: Any) -> float:
    """A property of a fluid, as CoolProp's PropsSI takes it."""
    from CoolProp.CoolProp import PropsSI

    return float(PropsSI(*state))


def humid_air(*state: Any) -> float:
    """A property of humid air, as CoolProp's HAPropsSI takes it."""
    from CoolProp.CoolProp import HAPropsSI

    return float(HAPropsSI(*state))
