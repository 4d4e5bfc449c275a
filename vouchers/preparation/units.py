"""Temperatures, hours and days as they were entered: numbers with their unit, never converted and never judged. Pure."""

CELSIUS, FAHRENHEIT = "C", "F"
UNITS = {CELSIUS: "°C", FAHRENHEIT: "°F"}
# Beyond these a number is a slip of the pen: below absolute zero, above what chars wood.
LOWEST = {CELSIUS: -273.0, FAHRENHEIT: -459.0}
HIGHEST = {CELSIUS: 250.0, FAHRENHEIT: 480.0}
MOST_HOURS = 24 * 60.0
MOST_DAYS = 366.0


def temperature_text(temperature: float | None, unit: str) -> str:
    """`40 °C`; empty where nobody entered one."""
    return "" if temperature is None else f"{temperature:g} {UNITS[unit]}".replace("-", "−")


def is_possible(temperature: float, unit: str) -> bool:
    return unit in UNITS and LOWEST[unit] <= temperature <= HIGHEST[unit]
