"""The browser's picking and wording on the vectors that it shares with the server."""

import json

from playwright.sync_api import Page

from findings.body.picking import pick
from findings.body.position import describe
from tests.body.test_midline import midline_vectors
from tests.body.vectors import pick_vectors
from tests.browser.kept import BLANK

POINT_ROUNDING = 0.01
NORMAL_ROUNDING = 0.001
# Crown-heel lengths for the descriptions: measured, and not measured.
LENGTHS = [171.3, 96, None]
# What the browser's modules pick and say of every vector; null where nothing is picked.
ANSWERS = """async (asked) => {
    const [vectors, lengths] = JSON.parse(asked);
    const at = (path) => `/static/findings/body/${path}`;
    const { loadBody, pick, visibleIn } = await import(at("picking.js"));
    const { describe } = await import(at("position.js"));
    const bodies = new Map();
    for (const { body } of vectors) {
        if (!bodies.has(body)) bodies.set(body, await loadBody(body, at));
    }
    const answers = vectors.map(({ body: key, view, u, v }) => {
        const body = bodies.get(key);
        const found = pick(body, view, u, v);
        if (!found) return null;
        const seen = visibleIn(body, found.point, found).map((place) => place.view);
        const wordings = lengths.map((cm) => describe(found.point, cm, found.normal).wording);
        return { ...found, seen_in: seen.sort(), wordings };
    });
    return JSON.stringify(answers);
}"""


def wordings(vector):
    """What the server says of the vector's point, for each of the lengths."""
    found = pick(vector["body"], vector["view"], vector["u"], vector["v"])
    return [
        describe(vector["body"], found.point, length, normal=found.normal).wording
        for length in LENGTHS
    ]


def place(vector):
    """The place that the server names for the vector's point."""
    return pick(vector["body"], vector["view"], vector["u"], vector["v"]).place


def differences(vectors, answers):
    wrong = []
    for vector, answer in zip(vectors, answers, strict=True):
        if vector["point"] is None or answer is None:
            if vector["point"] is not answer:
                wrong.append((vector, answer))
            continue
        far = max(abs(a - b) for a, b in zip(vector["point"], answer["point"], strict=True))
        turned = max(abs(a - b) for a, b in zip(vector["normal"], answer["normal"], strict=True))
        if (
            answer["region"] != vector["region"]
            or far > POINT_ROUNDING
            or turned > NORMAL_ROUNDING
            or answer["side"] != vector.get("side", answer["side"])
            or answer["seen_in"] != vector.get("seen_in", answer["seen_in"])
            or answer["wordings"] != wordings(vector)
            or answer["place"] != vector.get("place", place(vector))
        ):
            wrong.append((vector, answer))
    return wrong


def test_the_browsers_module_picks_every_vector_as_the_server_does(page: Page) -> None:
    vectors = [*pick_vectors(), *midline_vectors()]
    page.goto(BLANK)
    # Text, because Playwright takes seconds to send and to read as many values.
    answers = json.loads(page.evaluate(ANSWERS, json.dumps([vectors, LENGTHS])))
    assert len(answers) == len(vectors) > 1060
    assert differences(vectors, answers) == []


def test_the_comparison_notices_a_wrong_answer():
    # A control: were the comparison blind, agreement would mean nothing.
    vector = pick_vectors()[0]
    right = {"point": vector["point"], "region": vector["region"], "normal": vector["normal"]}
    right |= {"side": "left", "seen_in": [], "wordings": wordings(vector), "place": place(vector)}
    wrong_point = {**right, "point": [vector["point"][0] + 0.5, *vector["point"][1:]]}
    assert differences([vector], [right]) == []
    assert differences([vector], [wrong_point]) != []
    assert differences([vector], [{**right, "region": "nose"}]) != []
    assert differences([vector], [{**right, "wordings": ["", "", ""]}]) != []
    assert differences([vector], [{**right, "place": "Left cheek"}]) != []
    assert differences([vector], [None]) != []
