"""Actions that a frame makes: their keys have one name each, whatever the frame calls them."""

from __future__ import annotations

import inspect

import pytest

from cases.actions.entry import called


def noted(actor, *, record_id, version):
    return actor, record_id, version


@pytest.mark.parametrize("key", ["layer_id", "record_id"])
def test_a_key_is_taken_by_the_name_that_the_action_gives_it(key):
    act = called("void_layer", noted, record_id=key)
    assert act("vasko", version=2, **{key: 7}) == ("vasko", 7, 2)
    assert list(inspect.signature(act).parameters) == ["actor", key, "version"]
    assert act.__name__ == "void_layer"


def test_the_name_that_it_has_inside_is_refused():
    act = called("void_layer", noted, record_id="layer_id")
    with pytest.raises(TypeError, match="takes no record_id: it is layer_id here"):
        act("vasko", version=2, record_id=7)
