"""Contents page: one import line per room with tables. The models live in their rooms."""

from ledger.backup.models import BackupRun
from ledger.bench.models import Determination, Flag, Question
from ledger.club.models import Club
from ledger.finds.models import Change, Find, Photo, Reading
from ledger.forays.models import Foray
from ledger.handing_on.models import AgreedName, Handing
from ledger.measures.models import Measurement, PhotoScale, PrintedLine
from ledger.people.models import Invitation, Member
from ledger.phone.models import AnnouncedPhoto, NumberBlock, Receipt, VoidNumber, WaitingVersion
from ledger.search.models import FindIndex, NameOfWord, SearchWord, WordUse
from ledger.spores.models import SporeSet
from ledger.taking_in.models import RememberedColumns, TakenFind, TakingIn
from ledger.taxa.models import ClubName, DocumentedRange, LookAlike, ReferenceStamp, Source, Synonym, Taxon
from ledger.year.models import CountMove, MapCount, SeasonCount

__all__ = [
    "AgreedName",
    "AnnouncedPhoto",
    "BackupRun",
    "Change",
    "Club",
    "ClubName",
    "CountMove",
    "Determination",
    "DocumentedRange",
    "Find",
    "FindIndex",
    "Flag",
    "Foray",
    "Handing",
    "Invitation",
    "LookAlike",
    "MapCount",
    "Measurement",
    "Member",
    "NameOfWord",
    "NumberBlock",
    "Photo",
    "PhotoScale",
    "PrintedLine",
    "Question",
    "Reading",
    "Receipt",
    "ReferenceStamp",
    "RememberedColumns",
    "SearchWord",
    "SeasonCount",
    "Source",
    "SporeSet",
    "Synonym",
    "TakenFind",
    "TakingIn",
    "Taxon",
    "VoidNumber",
    "WaitingVersion",
    "WordUse",
]
