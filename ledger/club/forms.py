"""The keeper's form of club settings."""

import zoneinfo
from typing import Any

from django import forms

from ledger.club.models import Club
from ledger.text_fields import PublicIdText, plain_text
from ledger.words import later, say


class ClubForm(forms.ModelForm):
    class Meta:
        model = Club
        formfield_callback = plain_text
        field_classes = {"public_id": PublicIdText}
        fields = [
            "name",
            "institution",
            "accession_prefix",
            "country",
            "country_code",
            "region",
            "area_latitude",
            "area_longitude",
            "area_radius_km",
            "poison_centre",
            "time_zone",
            "public_id",
            "licence",
        ]
        labels = {
            "name": later("Name of the club"),
            "institution": later("Name at the head of labels"),
            "accession_prefix": later("Prefix of accession numbers"),
            "country": later("Country"),
            "country_code": later("Country code"),
            "region": later("Region"),
            "area_latitude": later("Middle of the club's area: latitude"),
            "area_longitude": later("Middle of the club's area: longitude"),
            "area_radius_km": later("Radius of the area (km)"),
            "poison_centre": later("Poison centre"),
            "time_zone": later("Time zone"),
            "public_id": later("Public identifier of the club"),
            "licence": later("Licence of the records"),
        }
        help_texts = {
            "accession_prefix": later("Numbers given before keep the prefix they were given with."),
            "area_radius_km": later(
                "A find farther away is flagged, never refused. Leave all three empty for no area."
            ),
            "time_zone": later("As in Europe/London; for photographs whose camera does not say."),
            "public_id": later(
                "A ROR identifier, or the address of another; collections elsewhere find the club by it."
            ),
            "licence": later(
                "Under which others may use the records once the club gives them out. This gives out nothing."
            ),
        }

    def clean_accession_prefix(self) -> str:
        return str(self.cleaned_data["accession_prefix"]).strip().upper()

    def clean_country_code(self) -> str:
        code = str(self.cleaned_data["country_code"]).strip().upper()
        if code and (len(code) != 2 or not code.isalpha()):
            raise forms.ValidationError(
                say(
                    "{code} is not a country code. What you typed is kept; type the two letters of ISO 3166-1, "
                    "such as GB.",
                    code=repr(code),
                )
            )
        return code

    def clean_time_zone(self) -> str:
        name = str(self.cleaned_data["time_zone"]).strip()
        if name not in zoneinfo.available_timezones():
            raise forms.ValidationError(
                say(
                    "{name} is no time zone. What you typed is kept; type one such as Europe/London or "
                    "America/New_York.",
                    name=repr(name),
                )
            )
        return name

    def clean_area_latitude(self) -> float | None:
        return self._within("area_latitude", 90, say("Latitude"))

    def clean_area_longitude(self) -> float | None:
        return self._within("area_longitude", 180, say("Longitude"))

    def _within(self, field: str, limit: float, word: str) -> float | None:
        value: float | None = self.cleaned_data[field]
        if value is not None and not -limit <= value <= limit:
            raise forms.ValidationError(
                say(
                    "{word} {value} is beyond {limit}. What you typed is kept; type decimal degrees from -{limit} "
                    "to {limit}.",
                    word=word,
                    value=value,
                    limit=limit,
                )
            )
        return value

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        given = [data.get(name) is not None for name in ("area_latitude", "area_longitude", "area_radius_km")]
        if any(given) and not all(given) and not self.errors:
            self.add_error(
                "area_radius_km",
                say("An area needs latitude, longitude and radius. Give all three, or leave all empty."),
            )
        radius = data.get("area_radius_km")
        if radius is not None and radius <= 0:
            self.add_error(
                "area_radius_km",
                say("A radius of {radius} km holds no find. Type a number above 0.", radius=radius),
            )
        return data
