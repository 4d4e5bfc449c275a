"""eml.xml: what an archive is, who gives it, under which licence, and how it was made (EML 2.1.1). Pure."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from xml.sax.saxutils import escape, quoteattr


@dataclass(frozen=True, slots=True)
class About:
    """What the file tells. `licence` is an address or ""; `paragraphs` tell what was done to the records before."""

    identity: str
    title: str
    institution: str
    institution_id: str = ""
    licence: str = ""
    licence_words: str = ""
    country: str = ""
    paragraphs: Sequence[str] = field(default=())


def eml_xml(about: About, made_on: date) -> bytes:
    """The file; `made_on` is the only thing in it that differs between two exports of the same records."""
    who = f"<organizationName>{escape(about.institution)}</organizationName>"
    if about.institution_id:
        who += f"<userId directory={quoteattr(_home(about.institution_id))}>{escape(about.institution_id)}</userId>"
    told = "".join(f"<para>{escape(paragraph)}</para>" for paragraph in about.paragraphs)
    licence = (
        f"<para>This work is licensed under <ulink url={quoteattr(about.licence)}><citetitle>"
        f"{escape(about.licence_words or about.licence)}</citetitle></ulink>.</para>"
        if about.licence
        else "<para>The club has not chosen a licence: ask before you use these records.</para>"
    )
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<eml:eml xmlns:eml="eml://ecoinformatics.org/eml-2.1.1" '
        'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" '
        f'packageId={quoteattr(about.identity)} system="bracket-ledger" scope="system" xml:lang="en">',
        "  <dataset>",
        f'    <title xml:lang="en">{escape(about.title)}</title>',
        f"    <creator>{who}</creator>",
        f"    <metadataProvider>{who}</metadataProvider>",
        f"    <pubDate>{made_on.isoformat()}</pubDate>",
        "    <language>en</language>",
        f"    <abstract>{told}</abstract>",
        f"    <intellectualRights>{licence}</intellectualRights>",
        f"    <contact>{who}</contact>",
        "  </dataset>",
        "</eml:eml>",
        "",
    ]
    return "\n".join(lines).encode()


def _home(address: str) -> str:
    return address.rpartition("/")[0] + "/"
