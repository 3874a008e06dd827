"""One browser session, with its page, that is lent to test after test as if it were new."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import BrowserContext, CDPSession, Page

# A small file of the same server, which asks nothing: no script, no database, few words to draw.
BLANK = "/static/shell/css/texts.css"
NATIVE = "[Date, setTimeout].every((one) => String(one).includes('[native code]'))"
FORGET = "() => { localStorage.clear(); sessionStorage.clear(); window.name = ''; }"
# What a session shows that was asked for without options: see `usual`.
MEDIA: dict[str, Any] = {
    "media": "null",
    "color_scheme": "light",
    "reduced_motion": "reduce",
    "forced_colors": "none",
    "contrast": "no-preference",
}


class KeptSession:
    """A session whose static files stay read and whose scripts stay compiled."""

    def __init__(self, context: BrowserContext, address: str, size: Any) -> None:
        self.context = context
        self.address = address
        self.size = size
        self.page: Page = context.new_page()
        self.tools: CDPSession = context.new_cdp_session(self.page)

    def keep_time_of(self, zone: str) -> None:
        """Let the page take its device to be in another zone; in its own if it is named ""."""
        self.tools.send("Emulation.setTimezoneOverride", {"timezoneId": zone})

    def take_back(self) -> bool:
        """Forget what a test left; return whether all is as before.

        What can only be added to a session, as a clock of the test's own, ends the session.
        """
        if self.page.is_closed():
            self.context.close()
            return False
        for page in self.context.pages:
            if page is not self.page:
                page.close()
        self.context.set_offline(False)
        self.context.unroute_all()
        self.page.unroute_all()
        # First away from the page, whose scripts may keep something until they end.
        self.page.goto(self.address + BLANK)
        if not self.page.evaluate(NATIVE):
            self.context.close()
            return False
        self.page.evaluate(FORGET)
        everything = {"origin": self.address, "storageTypes": "all"}
        self.tools.send("Storage.clearDataForOrigin", everything)
        self.context.clear_cookies()
        self.context.clear_permissions()
        self.keep_time_of("")
        self.page.mouse.move(0, 0)
        self.page.emulate_media(**MEDIA)
        if self.page.viewport_size != self.size:
            self.page.set_viewport_size(self.size)
        # The pages of one test after the other would lie in its memory by the hundred, and after a
        # hundred tests each page would take it half as much time again.
        self.tools.send("HeapProfiler.collectGarbage")
        return True
