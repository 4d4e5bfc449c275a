"""Words that stand in rows and results as they are and are said on screens by `{{ word|said }}`: named here so that their
translations are asked for. Nothing reads this table. Pure."""

from ledger.words import later

WORDS = (
    # outcomes and standings of a check (ledger/traits/results.py)
    later("within"),
    later("edge"),
    later("outside"),
    later("cannot tell"),
    later("not read"),
    later("not applicable"),
    later("fits"),
    later("open"),
    later("doubtful"),
    later("ruled out"),
    # what was looked at
    later("read"),
    later("not looked"),
    later("cannot say"),
    later("absent"),
    # how a find stands, and how much a flag weighs
    later("logged"),
    later("held"),
    later("sent back"),
    later("settled"),
    later("stop"),
    later("doubt"),
    later("note"),
    # the specimen, and of which a range is documented
    later("fresh"),
    later("moist"),
    later("air-dry"),
    later("oven-dry"),
    later("weathered"),
    later("young"),
    later("mature"),
    later("old"),
    later("mixed"),
    later("any"),
    later("dry"),
    # the tree, and where on it
    later("bark"),
    later("leaves"),
    later("wood"),
    later("told"),
    later("guess"),
    later("upper"),
    later("side"),
    later("under"),
    later("cut end"),
    later("wound"),
    later("base"),
    later("root"),
    # from where a place was taken
    later("phone"),
    later("photo"),
    later("typed"),
    later("table"),
    # on what grounds a name was given
    later("by eye"),
    later("lens"),
    later("spores measured"),
    later("compared with a named specimen"),
    # with what a trait is read
    later("eye"),
    later("ruler"),
    later("knife"),
    later("drop"),
    later("microscope"),
    # what a photo shows, where its code stands in brackets
    later("cap"),
    later("underside"),
    later("cut"),
    later("margin"),
    later("place"),
    later("scale"),
    # units in words
    later("per mm"),
    later("month"),
)
