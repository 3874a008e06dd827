"""Personal effects that custody still has in the office, where the body goes or has gone."""

from __future__ import annotations

import pytest
from django.urls import reverse

from cases.models import Case
from cases.remains.effects import NOT_GIVEN, effects_here, why_effects_differ
from cases.remains.models import BodyRelease
from evidence.custody.models import CustodyState
from evidence.property.actions import void_property
from tests.custody.test_receipts import hand
from tests.evidence.things import BULLET, RING, keep
from tests.remains.builders import body_in, bring_back, release, technician

ITEMS = ["item 1 (Yellow metal ring, D. Renn)"]


@pytest.mark.parametrize("belongings", [key for key, _ in BodyRelease.BELONGINGS])
def test_only_a_release_that_leaves_nothing_here_is_asked_about(belongings):
    said = why_effects_differ(belongings, ITEMS)
    assert bool(said) is (belongings in {"given", "none"})
    assert why_effects_differ(belongings, []) == ""
    if said:
        words = dict(BodyRelease.BELONGINGS)[belongings]
        assert said == NOT_GIVEN.say(said=words, items=ITEMS[0])


def test_every_item_is_named():
    said = why_effects_differ("none", [*ITEMS, "item 4 (Wallet, Property room)"])
    assert "item 1 (Yellow metal ring, D. Renn); item 4 (Wallet, Property room)" in said


@pytest.mark.django_db
def test_effects_are_named_at_the_release_and_after_it_until_they_are_handed_over(client):
    renn, case = technician(), body_in()
    client.force_login(renn)
    form = reverse("remains:add-release", args=[case.pk])
    page = reverse("remains:remains", args=[case.pk])

    def shown(address: str) -> str:
        return client.get(address).content.decode()

    assert "Personal effects in the office" not in shown(form)
    keep(renn, case, BULLET)
    ring = keep(renn, case, RING, seal_number="TC 2")
    second = keep(renn, case, {**RING, "description": "Watch"}, seal_number="TC 3")
    ring_held, watch_held = effects_here(case)
    assert ring_held.startswith("item 2 (") and "Watch" in watch_held
    assert ring_held in shown(form) and "does not move them" in shown(form)
    assert effects_here(body_in()) == [], "of another case"
    made = release(case, renn, belongings="given", belongings_kept="")
    said = NOT_GIVEN.say(said="all given with the body", items=f"{ring_held}; {watch_held}")
    assert said in shown(page)
    assert reverse("custody:case", args=[case.pk]) in shown(page).split("Effects and custody")[1]
    hand(renn, second, received_by="M. Arkwright, evidence room")
    assert f"{ring_held}." in shown(page) and watch_held not in shown(page)
    # With somebody whom no word places in the office: nothing is claimed.
    CustodyState.objects.filter(item=ring.item_id).update(holder=None, held_by="Marit Hallstead")
    assert effects_here(case) == [] and "Effects and custody" not in shown(page)
    CustodyState.objects.filter(item=ring.item_id).update(held_by="Property room, shelf 2")
    assert effects_here(case) == ["item 2 (Yellow metal ring, Property room, shelf 2)"]
    wrong = keep(renn, case, RING, seal_number="TC 4")
    assert len(effects_here(case)) == 2
    why = {"version": wrong.version, "reason": "Of another case."}
    void_property(renn, case_id=case.pk, property_id=wrong.pk, **why)
    assert len(effects_here(case)) == 1, "what was withdrawn is nothing of the decedent's"
    # A body that came back has not been released: nothing is asked of the release before.
    bring_back(Case.objects.get(pk=case.pk), renn)
    assert made.belongings == "given" and "Effects and custody" not in shown(page)
