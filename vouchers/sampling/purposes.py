"""What tissue is asked for: the one table of purposes. Pure."""

from ledger.words import later

PURPOSES = {
    "dna": later("DNA, a barcode or a few genes"),
    "genome": later("DNA, a whole genome"),
    "microscopy": later("Sections for the microscope"),
    "culture": later("A culture"),
    "chemistry": later("Chemistry"),
    "other": later("Another purpose"),
}
