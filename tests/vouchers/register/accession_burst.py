"""A process of its own that accessions the finds named on standard input: the other side of the concurrency test.

Settings and database come by the environment, as for any process of the ledger.
"""

import json
import os
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from uuid import UUID


def main() -> None:
    asked = json.load(sys.stdin)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")
    import django

    django.setup()
    from django.conf import settings
    from django.db import connection

    settings.DATABASES["default"]["NAME"] = asked["database"]
    connection.settings_dict["NAME"] = asked["database"]
    from ledger.people.models import Member
    from vouchers.register.actions import accession

    by = Member.objects.get(pk=asked["by"])
    now = datetime.fromisoformat(asked["now"]).astimezone(UTC)

    def one(find_id: str) -> str:
        try:
            return str(accession(UUID(find_id), by=by, now=now))
        finally:
            connection.close()

    with ThreadPoolExecutor(asked["threads"]) as pool:
        json.dump(list(pool.map(one, asked["finds"])), sys.stdout)


if __name__ == "__main__":
    main()
