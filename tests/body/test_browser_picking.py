"""The browser's picking and wording on the shared vectors: Chromium, and Node if there is one."""

import functools
import http.server
import json
import shutil
import subprocess
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from playwright.sync_api import sync_playwright

from findings.body.catalogue import ASSETS
from findings.body.picking import pick
from findings.body.position import describe
from tests.body.test_midline import midline_vectors
from tests.body.vectors import HERE, pick_vectors
from tests.browser import chromium

POINT_ROUNDING = 0.01
NORMAL_ROUNDING = 0.001
NODE = shutil.which("node")


class QuietHandler(http.server.SimpleHTTPRequestHandler):
    """Serve the body's files and the check beside the tests, without a log."""

    def translate_path(self, path):
        name = path.split("?", 1)[0].lstrip("/")
        return str(HERE / name if name.startswith("check_") else ASSETS / name)

    def log_message(self, format, *args):
        return


@pytest.fixture
def address():
    handler = functools.partial(QuietHandler)
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def answers_of_chromium(address, vectors):
    with sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=chromium.find(), args=chromium.FLAGS)
        page = browser.new_page()
        page.goto(f"{address}/catalogue.json")
        answers = page.evaluate(
            """async (vectors) => {
                const { answersTo } = await import("/check_picking.mjs");
                const read = async (path) => (await fetch("/" + path)).arrayBuffer();
                const position = await import("/position.js");
                return answersTo(await import("/picking.js"), position, read, vectors);
            }""",
            vectors,
        )
        browser.close()
    return answers


def answers_of_node(vectors, modules):
    for name in ("picking", "position", "midline"):
        text = (ASSETS / f"{name}.js").read_text(encoding="utf-8")
        text = text.replace('"./midline.js"', '"./midline.mjs"')
        (modules / f"{name}.mjs").write_text(text, encoding="utf-8")
    script = f"""
        import {{ readFile }} from "node:fs/promises";
        const {{ answersTo }} = await import({json.dumps((HERE / "check_picking.mjs").as_uri())});
        const read = async (path) => {{
          const bytes = await readFile({json.dumps(str(ASSETS))} + "/" + path);
          return bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength);
        }};
        let text = "";
        for await (const part of process.stdin) text += part;
        // A copy of the three modules that Node takes as such: the project has no package.json.
        const picking = await import({json.dumps((modules / "picking.mjs").as_uri())});
        const position = await import({json.dumps((modules / "position.mjs").as_uri())});
        const answers = await answersTo(picking, position, read, JSON.parse(text));
        console.log(JSON.stringify(answers));
    """
    done = subprocess.run(
        [NODE, "--input-type=module", "--eval", script],
        input=json.dumps(vectors),
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(done.stdout)


def wordings(vector):
    """What the server says of the vector's point, with the lengths of `check_picking.mjs`."""
    found = pick(vector["body"], vector["view"], vector["u"], vector["v"])
    lengths = (171.3, 96, None)
    return [
        describe(vector["body"], found.point, length, normal=found.normal).wording
        for length in lengths
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


@pytest.mark.usefixtures("processes")
@pytest.mark.parametrize("engine", ["chromium", "node"] if NODE else ["chromium"])
def test_the_browsers_module_picks_every_vector_as_the_server_does(engine, address, tmp_path):
    vectors = [*pick_vectors(), *midline_vectors()]
    if engine == "node":
        answers = answers_of_node(vectors, tmp_path)
    else:
        # In a thread of its own, so that it may run beside another test's browser.
        with ThreadPoolExecutor(1) as alone:
            answers = alone.submit(answers_of_chromium, address, vectors).result()
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
