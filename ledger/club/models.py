"""The club itself: one row, kept by the keeper."""

from django.core.validators import RegexValidator
from django.db import models

from ledger.words import later

# The licences that the exchange of biodiversity data knows.
LICENCES = (
    ("https://creativecommons.org/publicdomain/zero/1.0/", later("CC0: free for any use")),
    ("https://creativecommons.org/licenses/by/4.0/", later("CC BY: any use that names the club")),
    (
        "https://creativecommons.org/licenses/by-nc/4.0/",
        later("CC BY-NC: any use without trade that names the club"),
    ),
)


class Club(models.Model):
    """What the ledger must know of its club. There is one row; `club.queries.the_club()` gives it."""

    name = models.CharField(max_length=120, default="Our fungus club")
    institution = models.CharField(
        max_length=120,
        blank=True,
        help_text=later("As it should stand at the head of a label; empty: the club's name."),
    )
    accession_prefix = models.CharField(
        max_length=8,
        default="BL",
        validators=[RegexValidator(r"^[A-Z]{2,8}$", later("Two to eight capital letters, for example TFG."))],
    )
    country = models.CharField(max_length=80, blank=True)
    country_code = models.CharField(
        max_length=2, blank=True, help_text=later("Two letters of ISO 3166-1, for example GB.")
    )
    region = models.CharField(max_length=120, blank=True)
    # The club's area is a circle: centre and radius. Empty centre: no area, and no find is outside it.
    area_latitude = models.FloatField(null=True, blank=True)
    area_longitude = models.FloatField(null=True, blank=True)
    area_radius_km = models.FloatField(null=True, blank=True)
    poison_centre = models.TextField(
        blank=True, help_text=later("Name and number of the poison centre that serves the club's members.")
    )
    decay_scale = models.CharField(max_length=40, default="usda-fia-log")
    time_zone = models.CharField(max_length=64, default="UTC")
    # For the exchange of records: the address of an identifier, such as https://ror.org/…, and of a licence.
    public_id = models.CharField(max_length=200, blank=True)
    licence = models.CharField(max_length=100, blank=True, choices=LICENCES)

    def __str__(self) -> str:
        return self.name

    @property
    def heading(self) -> str:
        """What stands at the head of a label."""
        return self.institution or self.name
