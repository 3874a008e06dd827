"""The broker that hands jobs to the workers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import redis
from django.conf import settings

from evidence.store.marking import this_database
from me_office.upkeep.conditions import Said, condition, dangerous, right, wrong

# Says in the queue whose it is.
MARK = "office-of-this-queue"
WAITS = "previews, copies and packets wait. Nothing is lost: what waits is asked for again."


@condition("broker")
def broker() -> Iterator[Said]:
    """Does it answer, is it this office's alone, and does it keep what it is given?"""
    client = redis.Redis.from_url(settings.REDIS_URL, **settings.REDIS_PATIENCE)
    try:
        client.ping()
        facts: dict[str, Any] = client.info("memory")
        owner = _owner(client)
    except redis.AuthenticationError:
        yield wrong(
            f"It refuses the password: {WAITS}",
            "Mend the password in REDIS_URL, then restart web, workers and beat.",
        )
        return
    except redis.RedisError as error:
        yield wrong(
            f"It does not answer ({type(error).__name__}): {WAITS}",
            "Start Redis (systemctl start redis-server), or mend REDIS_URL.",
        )
        return
    finally:
        client.close()
    found = [*_kept(facts), *_ours(owner)]
    yield from found or [right("It answers, and is this office's alone.")]


def _kept(facts: dict[str, Any]) -> Iterator[Said]:
    if facts.get("maxmemory") and facts.get("maxmemory_policy") != "noeviction":
        yield dangerous(
            "It throws away messages when its memory is full: jobs would come late.",
            "In redis.conf: maxmemory-policy noeviction",
        )


def _owner(client: redis.Redis) -> str:
    client.set(MARK, this_database(), nx=True)
    found = client.get(MARK)
    return found.decode(errors="replace") if isinstance(found, bytes) else str(found)


def _ours(owner: str) -> Iterator[Said]:
    if owner != this_database():
        yield dangerous(
            "Another office, or a copy of this one, uses the same queue: each takes the other's "
            "jobs.",
            "Give each its own Redis, or its own number at the end of REDIS_URL. Where the other "
            f"is no more: redis-cli -u REDIS_URL DEL {MARK}",
        )
