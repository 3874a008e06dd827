"""Whether a packet still holds what would go out today.

A packet is built once and never changes; the case file goes on. What decides is noted when it is
built: addenda, results that came after the signature, photographs, and what is hidden in them. What
was built before may not be released as if it were today's.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from cases.court.marking import OrderSince, orders_since
from cases.exhibits.queries import photographs_to_be_hidden, redactions_in_force
from cases.models import Case
from cases.packets.models import Packet
from cases.packets.rules import Holds, what_changed
from cases.review.models import Addendum
from evidence.photographs.models import Photograph
from evidence.results.queries import late_numbers


def holds_now(case: Case) -> Holds:
    """Return what a packet of the case would hold now; five statements."""
    addenda = Addendum.objects.active().filter(case=case).order_by("number")
    photographs = Photograph.objects.active().filter(case=case).order_by("number")
    return Holds(
        addenda=tuple(addenda.values_list("kind", "number")),
        late_results=tuple(late_numbers(case.pk)),
        photographs=tuple(photographs.values_list("number", flat=True)),
        redactions={
            one.photograph.number: str(one.pk) for one in redactions_in_force(case).values()
        },
        to_be_hidden=tuple(
            sorted(one.photograph.number for one in photographs_to_be_hidden(case).values())
        ),
    )


def kept(holds: Holds) -> dict[str, object]:
    """Return the same to be kept with the packet, as JSON."""
    return {
        "addenda": [list(one) for one in holds.addenda],
        "late_results": list(holds.late_results),
        "photographs": list(holds.photographs),
        "redactions": {str(number): key for number, key in holds.redactions.items()},
    }


def read_back(said: dict[str, Any]) -> Holds:
    """Return what `kept` has kept."""
    return Holds(
        addenda=tuple((kind, number) for kind, number in said["addenda"]),
        late_results=tuple(said["late_results"]),
        photographs=tuple(said["photographs"]),
        redactions={int(number): key for number, key in said["redactions"].items()},
    )


def changed_since(
    packet: Packet, now: Holds, orders: Sequence[OrderSince] | None = None
) -> list[str]:
    """Return, in sentences, what has changed since a packet was built; nothing when it is current.

    `orders` are those of its case, read here where they are not given. A packet that was built
    before this was noted can't be compared, and says so.
    """
    if not packet.is_built:
        return []
    return _of_the_file(packet, now) + _of_orders(packet, orders)


def _of_orders(packet: Packet, orders: Sequence[OrderSince] | None) -> list[str]:
    """Say what became of the orders of its request: it says itself who may see what is sent."""
    if packet.built_at is None:
        return []
    asked = orders_since(packet.case) if orders is None else orders
    said = (one.words(packet.built_at) for one in asked if one.request_id == packet.request_id)
    return [words for words in said if words]


def _of_the_file(packet: Packet, now: Holds) -> list[str]:
    if packet.holds is None:
        return ["It was built before the office noted what a packet holds."]
    held = packet.holds
    if "late_results" not in held:
        # Built before results were noted: it held those that had come by then.
        held = {**held, "late_results": late_numbers(packet.case_id, until=packet.built_at)}
    return what_changed(
        read_back(held), now, with_photographs=packet.with_photographs,
        originals=frozenset(
            Photograph.objects.filter(pk__in=packet.originals).values_list("number", flat=True)
        ) if packet.originals else frozenset(),
    )  # fmt: skip
