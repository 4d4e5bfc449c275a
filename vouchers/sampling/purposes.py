"""What tissue is asked for: the one table of purposes. Pure."""

PURPOSES = {
    "dna": "DNA, a barcode or a few genes",
    "genome": "DNA, a whole genome",
    "microscopy": "Sections for the microscope",
    "culture": "A culture",
    "chemistry": "Chemistry",
    "other": "Another purpose",
}
