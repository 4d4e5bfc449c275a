"""Why a voucher leaves the collection. Pure: the one table of reasons, and the words that must stand beside them."""

REASONS = {
    "lost": "Lost: looked for and not found",
    "spoiled": "Spoiled by mould, beetles, water or fire",
    "used up": "Used up by sampling",
    "given": "Given to another collection",
    "mistaken": "Accessioned by mistake",
    "other": "Another reason",
}
LEAST_WORDS = 10  # signs: "lost" alone tells nobody anything in twenty years
