"""The text of a PDF, as somebody reads it: pages in order, white space as one blank."""

import pypdfium2


def pages_of(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    try:
        texts = [page.get_textpage().get_text_range() for page in document]
    finally:
        document.close()
    # A word that was parted at its hyphen is whole again, and blanks that hold are blanks.
    return [" ".join(text.replace("\ufffe", "").replace("\u00a0", " ").split()) for text in texts]


def text_of(pdf: bytes) -> str:
    return " ".join(pages_of(pdf))
