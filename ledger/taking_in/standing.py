"""How a find stands, as one digest, by which a later change of anybody is seen."""

import hashlib
import uuid
from collections.abc import Sequence

from django.db.models import Count, Q

from ledger.finds.models import Find
from ledger.phone.models import WaitingVersion

_AT_ONCE = 500


def standing_of(keys: Sequence[uuid.UUID]) -> dict[uuid.UUID, str]:
    """A digest of what people did to each find: changes, names, readings, photos, flags settled, questions, shares,
    spores, an accession number; and of what waits on a phone."""
    parts: dict[uuid.UUID, list[object]] = {key: [] for key in keys}
    for start in range(0, len(keys), _AT_ONCE):
        some = keys[start : start + _AT_ONCE]
        for key, version, accession, changed in (
            Find.objects.filter(pk__in=some)
            .order_by()
            .values_list("pk", "version", "accession_number", "changed_at")
        ):
            parts[key] += [version, accession, changed.isoformat()]
        settled = Q(flags__settled_at__isnull=False)
        for relation, which in (
            *(
                (name, None)
                for name in ("changes", "determinations", "readings", "photos", "questions", "shares")
            ),
            *(("spore_sets", None), ("flags", settled)),
        ):
            rows = Find.objects.filter(pk__in=some).order_by()
            counted = rows.annotate(many=Count(relation, filter=which))
            for key, many in counted.values_list("pk", "many"):
                parts[key].append((relation, many))
        waiting = WaitingVersion.objects.filter(find__in=some).order_by("find", "pk")
        for key, version in waiting.values_list("find", "pk"):
            parts[key].append(("waits on a phone", version))
        for key, many in (
            Find.objects.filter(pk__in=some)
            .order_by()
            .annotate(many=Count("photos__measurements"))
            .values_list("pk", "many")
        ):
            parts[key].append(("measurements", many))
    return {key: hashlib.sha256(repr(told).encode()).hexdigest() for key, told in parts.items()}
