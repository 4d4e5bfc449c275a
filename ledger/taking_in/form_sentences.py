"""What the forms of the log page say of a box, as it is told of a line of a file: there nothing of it was kept."""

import re

from django.core.exceptions import ValidationError

from ledger.words import Later, Said, later, say, say_again, say_n

# Of the form, said to whoever typed; here nothing of the line was kept.
_KEPT = re.compile(
    r"\s*(?:It was|What you typed was|The rest was) kept(?: as typed)?(?:[;,] correct it here)?[.;]?"
)
# What is left of those sentences, so that it is said too.
_LEFT = (
    later("{label}: {problem}."),
    later("{number} {unit} cannot be stored; {allowed} can."),
    later("{number} is not a whole number. type whole {unit}."),
)


def sentence_of_box(error: ValidationError) -> str:
    """What a form says of a box, so that it can be said again."""
    if error.code == "max_length" and error.params:
        # As Django says it, whose sentences are not ours to say again.
        return say_n(
            "Ensure this value has at most {most} character (it has {n}).",
            "Ensure this value has at most {most} characters (it has {n}).",
            error.params["limit_value"],
            most=error.params["limit_value"],
            n=error.params["show_value"],
        )
    if isinstance(error.message, Said | Later) and not error.params:
        return say(error.message)
    return str(next(iter(error)))


def without_kept(sentence: str) -> str:
    """The sentence without what it says of what was typed."""
    if not isinstance(sentence, Said):
        return _KEPT.sub("", sentence).strip()
    kept = sentence.kept()
    return say_again(kept | {key: _KEPT.sub("", kept[key]).strip() for key in ("m", "p") if key in kept})
