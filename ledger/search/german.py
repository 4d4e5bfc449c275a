"""Days as people type them in German, turned into the English words that `search.days` reads. Pure.

Only words of days, and only where the whole text is one: what stays is looked for as it was typed. A season alone is left as
it is, since people are called Sommer and Herbst.
"""

import re

_MONTHS = {
    "january": ("januar", "jänner", "jan"),
    "february": ("februar", "feber", "feb"),
    "march": ("märz", "mär", "mrz"),
    "april": ("april", "apr"),
    "may": ("mai",),
    "june": ("juni", "jun"),
    "july": ("juli", "jul"),
    "august": ("august", "aug"),
    "september": ("september", "sept", "sep"),
    "october": ("oktober", "okt"),
    "november": ("november", "nov"),
    "december": ("dezember", "dez"),
}
_WORDS = {german: english for english, names in _MONTHS.items() for german in names} | {
    "vor": "before",
    "nach": "after",
    "seit": "since",
    "von": "from",
    "vom": "from",
    "zwischen": "between",
    "und": "and",
    "heute": "today",
    "gestern": "yesterday",
    "woche": "week",
    "monat": "month",
    "jahr": "year",
    "frühling": "spring",
    "frühjahr": "spring",
    "sommer": "summer",
    "herbst": "autumn",
    "montag": "monday",
    "dienstag": "tuesday",
    "mittwoch": "wednesday",
    "donnerstag": "thursday",
    "freitag": "friday",
    "samstag": "saturday",
    "sonnabend": "saturday",
    "sonntag": "sunday",
    "wochenende": "weekend",
}
_ADJECTIVES = ((re.compile(r"letzte[nrsm]?"), "last"), (re.compile(r"diese[nrsm]?"), "this"))
_SEASONS = frozenset({"frühling", "frühjahr", "sommer", "herbst"})
_AGO = re.compile(r"vor (\d{1,3}) (?:(tag)|(woche)|(monat)|(jahr))(?:e|en|n)?")
_UNITS = ("day", "week", "month", "year")
# "am" and "im" are collectors' codes too: AM 2024 is a number.
_BEFORE_A_DAY = re.compile(r"\bam (?=\d{1,2}\.|\w+(?:tag|woch|abend|ende)$)|\b(?:dem|den) (?=\d)")
_BEFORE_A_MONTH = re.compile(r"\bim (?=[a-zäöü])")
_DAY_OF_MONTH = re.compile(r"\d{1,2}\.")


def as_english(line: str) -> str:
    """The line, in small letters and with single blanks, with its German words of days in English.

    >>> as_english("vor dem 3. oktober 2026"), as_english("letzten herbst"), as_english("vor 2 wochen")
    ('before 3. october 2026', 'last autumn', '2 weeks ago')
    """
    if found := _AGO.fullmatch(line):
        unit = next(name for name, word in zip(_UNITS, found.groups()[1:], strict=True) if word)
        return f"{found[1]} {unit}s ago"
    if line in _SEASONS:
        return line
    line = _BEFORE_A_MONTH.sub("", _BEFORE_A_DAY.sub("", line), count=1)
    words = line.split(" ")
    return " ".join(_word(word, is_first=at == 0) for at, word in enumerate(words))


def _word(word: str, *, is_first: bool) -> str:
    if word == "bis":
        return "until" if is_first else "to"
    for form, english in _ADJECTIVES:
        if form.fullmatch(word):
            return english
    if _DAY_OF_MONTH.fullmatch(word):
        return word[:-1]
    return _WORDS.get(word.rstrip("."), word)
