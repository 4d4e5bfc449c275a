"""Why a voucher leaves the collection. Pure: the one table of reasons, and the words that must stand beside them."""

from ledger.words import later

REASONS = {
    "lost": later("Lost: looked for and not found"),
    "spoiled": later("Spoiled by mould, beetles, water or fire"),
    "used up": later("Used up by sampling"),
    "given": later("Given to another collection"),
    "mistaken": later("Accessioned by mistake"),
    "other": later("Another reason"),
}
LEAST_WORDS = 10  # signs: "lost" alone tells nobody anything in twenty years
