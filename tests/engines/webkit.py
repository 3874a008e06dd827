"""WebKit, by WebDriver (https://www.w3.org/TR/webdriver2/) and WebKitGTK's own browser."""

from __future__ import annotations

import base64
import http.client
import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

from me_office.embedded import free_port
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
SCREEN = "1600x1400x24"
BROWSERS = "/usr/lib/*/webkit2gtk-4.*/MiniBrowser"
GOING = {"no such element", "stale element reference", "no such frame", "unknown error"}
# The window's own buttons would not let it be as narrow as a telephone.
NARROW = """\
headerbar, headerbar *, toolbar, toolbar *, box > button, entry, notebook, notebook *, tab {
  padding: 0; margin: 0; border-width: 0; min-width: 0;
}
"""
GTK = """\
[Settings]
gtk-enable-animations=0
gtk-icon-sizes=gtk-large-toolbar=8,8:gtk-menu=8,8:gtk-button=8,8:gtk-small-toolbar=8,8
"""
# This way in tells nothing of the console; what the page's window hears is what there is.
LISTEN = """() => {
    if (window.heardOf) return;
    const heard = (window.heardOf = []);
    window.addEventListener("error", (event) => heard.push(event.message));
    window.addEventListener("unhandledrejection", (event) => heard.push(`${event.reason}`));
}"""


class WebKit:
    """WebKitGTK: the engine of Safari and of every browser on an iPad or iPhone."""

    name = "webkit"
    version = ""

    def __init__(self) -> None:
        self._screen: subprocess.Popen[bytes] | None = None
        self._driver: subprocess.Popen[bytes] | None = None
        self._port = 0
        self._session = ""

    def start(self, folder: Path) -> None:
        driver = shutil.which("WebKitWebDriver")
        browser = next(Path("/").glob(BROWSERS[1:]), None)
        if driver is None or browser is None:
            raise NotInstalled("apt-get install webkit2gtk-driver")
        environment = {**os.environ, "XDG_CONFIG_HOME": str(folder), "HOME": str(folder)}
        (folder / "gtk-3.0").mkdir(exist_ok=True)
        (folder / "gtk-3.0" / "gtk.css").write_text(NARROW)
        (folder / "gtk-3.0" / "settings.ini").write_text(GTK)
        with (folder / "webkit.log").open("ab") as log:
            environment["DISPLAY"] = self._own_screen(log)
            self._port = free_port()
            self._driver = subprocess.Popen(
                [driver, f"--port={self._port}"],
                env=environment, stdin=subprocess.DEVNULL, stdout=log, stderr=log,
            )  # fmt: skip
        wait_for(self._answers, "WebKitWebDriver")
        options = {"binary": str(browser), "args": ["--automation"]}
        begun = self._ask(
            "POST", "/session", capabilities={"alwaysMatch": {"webkitgtk:browserOptions": options}}
        )
        self._session = f"/session/{begun['sessionId']}"
        self.version = begun["capabilities"]["browserVersion"]

    def stop(self) -> None:
        if self._session:
            self._ask("DELETE", self._session)
            self._session = ""
        end(self._driver)
        end(self._screen)

    def go(self, url: str) -> None:
        self._ask("POST", f"{self._session}/url", url=url)
        self.run(LISTEN)

    def run(self, function: str, *given: Any) -> Any:
        return self._call(f"return ({function})(...arguments)", list(given))

    def click(self, x: float, y: float) -> None:
        self._act({"type": "pointer", "id": "mouse", "actions": click_actions(x, y)})

    def press(self, keys: str) -> None:
        self._act({"type": "key", "id": "keys", "actions": key_actions(pressed(keys))})

    def write(self, text: str) -> None:
        self._act({"type": "key", "id": "keys", "actions": letter_actions(text)})

    def choose_files(self, find: str, given: list[Any], files: list[Path]) -> None:
        found = self._call(f"return ({find})(...arguments)", given)
        (element,) = found.values()
        text = "\n".join(str(file) for file in files)
        self._ask("POST", f"{self._session}/element/{element}/value", text=text)

    def size(self, width: int, height: int) -> None:
        # The window has a bar of its own above the page.
        for _ in range(2):
            inner = self.run("() => [innerWidth, innerHeight]")
            outer = self._ask("GET", f"{self._session}/window/rect")
            more = {"width": outer["width"] - inner[0], "height": outer["height"] - inner[1]}
            asked = {"width": width + more["width"], "height": height + more["height"]}
            self._ask("POST", f"{self._session}/window/rect", **asked)

    def picture(self) -> bytes:
        return base64.b64decode(self._ask("GET", f"{self._session}/screenshot"))

    def complaints(self) -> list[str]:
        told: list[str] = self.run("() => (window.heardOf ?? []).splice(0)")
        return told

    def _own_screen(self, log: Any) -> str:
        """Start a screen that nobody sees; return its name."""
        program = shutil.which("Xvfb")
        if program is None:
            raise NotInstalled("apt-get install xvfb")
        reading, writing = os.pipe()
        self._screen = subprocess.Popen(
            [program, "-displayfd", str(writing), "-screen", "0", SCREEN, "-nolisten", "tcp"],
            pass_fds=[writing], stdin=subprocess.DEVNULL, stdout=log, stderr=log,
        )  # fmt: skip
        os.close(writing)
        with os.fdopen(reading) as told:
            return f":{told.readline().strip()}"

    def _answers(self) -> bool:
        try:
            return bool(self._ask("GET", "/status"))
        except OSError:
            return False

    def _act(self, source: dict[str, Any]) -> None:
        self._ask("POST", f"{self._session}/actions", actions=[source])

    def _call(self, script: str, given: list[Any]) -> Any:
        return self._ask("POST", f"{self._session}/execute/sync", script=script, args=given)

    def _ask(self, method: str, path: str, **said: Any) -> Any:
        line = http.client.HTTPConnection("127.0.0.1", self._port, timeout=ANSWER_SECONDS)
        body = json.dumps(said) if method == "POST" else None
        try:
            line.request(method, path, body, {"Content-Type": "application/json"})
            answer = line.getresponse()
            value = json.load(answer)["value"]
        finally:
            line.close()
        if answer.status != http.HTTPStatus.OK:
            words = f"{path.rpartition('/')[2]}: {value['error']}: {value['message']}"
            raise (PageGone if value["error"] in GOING else AssertionError)(words)
        return value
