"""A process of its own that asks for blocks of numbers: the other side of the concurrency test."""

import json
import os
import sys
from concurrent.futures import ThreadPoolExecutor


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
    from ledger.phone.numbers import reserve_block

    member = Member.objects.get(pk=asked["member"])

    def one(many: int) -> list[int]:
        try:
            block = reserve_block(member, holder="phone", by=member, many=many)
            return [block.first, block.last]
        finally:
            connection.close()

    with ThreadPoolExecutor(asked["threads"]) as pool:
        json.dump(list(pool.map(one, asked["wanted"])), sys.stdout)


if __name__ == "__main__":
    main()
