"""A server of the S3 kind of the test's own, and an empty bucket in it."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import boto3
from moto.server import ThreadedMotoServer

# The secret holds a sign that an address must escape.
KEY, SECRET, SECRET_IN_ADDRESS = "key", "se/cret", "se%2Fcret"


@contextmanager
def s3_server() -> Iterator[str]:
    """Run the server on a port of its own; gives `host:port`."""
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0)
    server.start()
    host, port = server.get_host_and_port()
    yield f"{host}:{port}"
    server.stop()


def s3_address(server: str, folder: str) -> str:
    """The setting that names a folder of the bucket `club` on that server."""
    return f"s3://{KEY}:{SECRET_IN_ADDRESS}@{server}/club/{folder}?tls=no"


def empty_bucket(server: str) -> Any:
    """The bucket `club`, made if it was not there, with nothing in it."""
    bucket = boto3.resource(
        "s3",
        endpoint_url=f"http://{server}",
        aws_access_key_id=KEY,
        aws_secret_access_key=SECRET,
        region_name="us-east-1",
    ).Bucket("club")
    bucket.create()
    bucket.objects.all().delete()
    return bucket
