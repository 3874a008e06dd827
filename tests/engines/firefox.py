"""Firefox, by WebDriver BiDi (https://www.w3.org/TR/webdriver-bidi/), with no driver between."""

from __future__ import annotations

import base64
import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import websocket

from tests.engines.engine import (
    NotInstalled,
    PageGone,
    click_actions,
    end,
    key_actions,
    letter_actions,
    pressed,
    wait_for,
)

ANSWER_SECONDS = 60
# The page went, or the document in which something was asked.
GOING = ("no such frame", "no such node", "DiscardedBrowsingContext", "aborted", "destroyed")
SETTINGS: dict[str, Any] = {
    "app.update.disabledForTesting": True,
    "browser.shell.checkDefaultBrowser": False,
    "browser.startup.page": 0,
    "datareporting.policy.dataSubmissionEnabled": False,
    "intl.accept_languages": "en-US",
    "network.captive-portal-service.enabled": False,
    "network.connectivity-service.enabled": False,
    "services.settings.server": "http://127.0.0.1:1/",
    "toolkit.telemetry.enabled": False,
    "toolkit.telemetry.unified": False,
    "ui.prefersReducedMotion": 1,
}


class Firefox:
    """Gecko."""

    name = "firefox"
    version = ""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._line: websocket.WebSocket | None = None
        self._asked = 0
        self._context = ""
        self._complaints: list[str] = []

    def start(self, folder: Path) -> None:
        program = shutil.which("firefox-esr") or shutil.which("firefox")
        if program is None:
            raise NotInstalled("apt-get install firefox-esr")
        told = folder / "WebDriverBiDiServer.json"
        told.unlink(missing_ok=True)
        (folder / "user.js").write_text(
            "".join(f"user_pref({json.dumps(k)}, {json.dumps(v)});\n" for k, v in SETTINGS.items())
        )
        with (folder / "firefox.log").open("ab") as log:
            self._process = subprocess.Popen(
                [program, "--headless", "--no-remote", "--profile", folder,
                 "--remote-debugging-port", "0"],
                stdin=subprocess.DEVNULL, stdout=log, stderr=log,
            )  # fmt: skip
        where = json.loads(wait_for(lambda: told.exists() and told.read_text(), "Firefox"))
        self._line = websocket.create_connection(
            f"ws://{where['ws_host']}:{where['ws_port']}/session",
            timeout=ANSWER_SECONDS,
            suppress_origin=True,
        )
        begun = self._ask("session.new", capabilities={})
        self.version = begun["capabilities"]["browserVersion"]
        # The page that comes with the window never has the focus, and shows none.
        self._context = self._ask("browsingContext.create", type="tab")["context"]
        self._ask("session.subscribe", events=["log.entryAdded"])

    def stop(self) -> None:
        if self._line is not None:
            self._line.close()
            self._line = None
        end(self._process)

    def go(self, url: str) -> None:
        self._ask("browsingContext.navigate", context=self._context, url=url, wait="complete")

    def run(self, function: str, *given: Any) -> Any:
        asked = f"""async (given) => JSON.stringify(
            (await ({function})(...JSON.parse(given))) ?? null)"""
        return json.loads(self._call(asked, list(given))["value"])

    def click(self, x: float, y: float) -> None:
        self._act("pointer", click_actions(x, y))

    def press(self, keys: str) -> None:
        self._act("key", key_actions(pressed(keys)))

    def write(self, text: str) -> None:
        self._act("key", letter_actions(text))

    def choose_files(self, find: str, given: list[Any], files: list[Path]) -> None:
        found = self._call(f"(given) => ({find})(...JSON.parse(given))", given)
        element = {"sharedId": found["sharedId"]}
        paths = [str(file) for file in files]
        self._ask("input.setFiles", context=self._context, element=element, files=paths)

    def size(self, width: int, height: int) -> None:
        size = {"width": width, "height": height}
        self._ask("browsingContext.setViewport", context=self._context, viewport=size)

    def picture(self) -> bytes:
        shot = self._ask("browsingContext.captureScreenshot", context=self._context)
        return base64.b64decode(shot["data"])

    def complaints(self) -> list[str]:
        # What was told before comes in front of the answer.
        self._ask("session.status")
        told, self._complaints = self._complaints, []
        return told

    def _act(self, kind: str, actions: list[dict[str, Any]]) -> None:
        source = {"type": kind, "id": kind, "actions": actions}
        self._ask("input.performActions", context=self._context, actions=[source])

    def _call(self, function: str, given: list[Any]) -> dict[str, Any]:
        answer = self._ask(
            "script.callFunction",
            functionDeclaration=function,
            awaitPromise=True,
            target={"context": self._context},
            arguments=[{"type": "string", "value": json.dumps(given)}],
        )
        if answer["type"] == "exception":
            raise AssertionError(answer["exceptionDetails"]["text"])
        found: dict[str, Any] = answer["result"]
        return found

    def _ask(self, method: str, **params: Any) -> Any:
        assert self._line is not None
        self._asked += 1
        self._line.send(json.dumps({"id": self._asked, "method": method, "params": params}))
        while True:
            said = json.loads(self._line.recv())
            if said.get("method") == "log.entryAdded":
                self._note(said["params"])
            if said.get("id") == self._asked:
                break
        if said["type"] == "error":
            words = f"{method}: {said['error']}: {said['message']}"
            raise (PageGone if any(word in words for word in GOING) else AssertionError)(words)
        return said["result"]

    def _note(self, entry: dict[str, Any]) -> None:
        if entry["type"] == "javascript" and entry["level"] == "error":
            self._complaints.append(entry["text"])
