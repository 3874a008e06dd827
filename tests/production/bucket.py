"""The store moved into a bucket, and the worst day tried once more there."""

from __future__ import annotations

import logging

import boto3
from moto.server import ThreadedMotoServer

from tests.production import drill
from tests.production.office import Office
from tests.production.told import told

NAME, ACCESS, SECRET, REGION = "tarn", "tarn", "tarn-county", "us-east-1"


def worst_day(office: Office) -> None:
    """Stop the office, move its files, back up under work, restore into another place of it."""
    # It would tell of every request.
    logging.getLogger("werkzeug").setLevel(logging.ERROR)
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    server.start()
    try:
        host, port = server.get_host_and_port()
        settings = {
            "ME_S3_BUCKET": NAME,
            "ME_S3_REGION": REGION,
            "ME_S3_ENDPOINT": f"http://{host}:{port}",
            "ME_S3_ACCESS_KEY": ACCESS,
            "ME_S3_SECRET_KEY": SECRET,
        }
        _make(settings["ME_S3_ENDPOINT"])
        with told("stopped, and its files moved into a bucket"):
            for name in reversed(list(office.parts)):
                office.stop_part(name)
            lines = office.home / "bucket.env"
            lines.write_text("".join(f"{name}={value}\n" for name, value in settings.items()))
            office.manage("move_store", f"--to={lines}", "--switch")
            office.settings |= settings
            office.manage("check_store")
        drill.worst_day(office, "bucket", ME_S3_FOLDER="again")
    finally:
        server.stop()


def _make(endpoint: str) -> None:
    boto3.client(
        "s3", endpoint_url=endpoint, region_name=REGION, aws_access_key_id=ACCESS,
        aws_secret_access_key=SECRET,
    ).create_bucket(Bucket=NAME)  # fmt: skip
