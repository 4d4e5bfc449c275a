"""Days as labels and lists write them. Pure."""

from datetime import date


def date_text(day: date | None) -> str:
    """Return a date with its month in letters, which no country reads the other way round; nothing where there is none."""
    return f"{day.day} {day:%b %Y}" if day else ""
