"""What every report says at its foot. Pure."""

from ledger.words import later, say

NO_GUIDE = later(
    "No guide to eating. This is a record of finds: nothing in it, no name and no settled find, says that a fungus may be "
    "eaten."
)
IF_EATEN = later(
    "If anyone has eaten any of it, do not wait for signs of illness: ring {whom}, and keep what is left, in paper."
)
NAMES = later(
    "A name is an opinion, with who gave it and when. One that is not settled has not been looked at by the club’s curator, "
    "or is still in doubt; it may change."
)
DEADWOOD = later(
    "Brackets live in dead and dying wood, and so does much else. Wood that can safely be left, standing or lying, is what "
    "the next finds grow on."
)
TREES = later(
    "A bracket on a tree is no finding about that tree. Whether it is safe is for somebody trained to look at trees to say; "
    "whether anything is protected or may be taken is for local law and for the owner."
)
LAW = later(
    "What may be gathered, and where, is for local law and the owner of the ground to say. Ask first."
)


def cautions(*, poison_centre: str, for_owner: bool = False) -> tuple[str, ...]:
    """The sentences at the foot, those for the owner of the land with what is said of their wood."""
    number = " ".join(poison_centre.split())
    whom = say("the poison centre ({number})", number=number) if number else ""
    eaten = say(IF_EATEN, whom=whom or say("your national poison centre or emergency number"))
    last = (DEADWOOD, TREES) if for_owner else (LAW,)
    return (say(NO_GUIDE), eaten, say(NAMES), *(say(one) for one in last))
