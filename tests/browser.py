"""A headless Chromium driven by the DevTools protocol over a pipe: no library, no port, no network."""

from __future__ import annotations

import base64
import fcntl
import json
import os
import subprocess
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Any, NamedTuple, Self

from tests import tools

SHIFT, CONTROL, ALT = 8, 2, 1
WAIT = 30.0


class Browser:
    """A browser process; messages end with a zero byte (Chromium, --remote-debugging-pipe).

    `env` are variables of its environment besides those of the tests.
    """

    def __init__(self, env: Mapping[str, str] | None = None) -> None:
        self._profile = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        to_read, self._write = os.pipe()
        self._read, to_write = os.pipe()
        command = [tools.tool("chromium"), "--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars"]
        command += ["--remote-debugging-pipe", f"--user-data-dir={self._profile.name}", "--no-first-run", "about:blank"]
        command += ["--force-color-profile=srgb", "--font-render-hinting=none", "--disable-dev-shm-usage"]

        # The browser reads its file 3 and writes its file 4. Our ends get other numbers before they are placed there.
        ends = [fcntl.fcntl(end, fcntl.F_DUPFD, 10) for end in (to_read, to_write)]
        placed = ["bash", "-c", f'exec "$@" 3<&{ends[0]} 4>&{ends[1]}', "browser", *command]
        self._process = subprocess.Popen(
            placed,
            pass_fds=ends,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env={**os.environ, **(env or {})},
        )
        for end in ends:
            os.close(end)
        os.close(to_read)
        os.close(to_write)
        self._buffer = b""
        self._number = 0
        self._posted: set[int] = set()
        self.events: list[dict[str, Any]] = []
        self._free: list[Tab] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Ends the browser."""
        with suppress(OSError, EOFError):
            self.send("Browser.close")
        self._process.wait(timeout=WAIT)
        os.close(self._write)
        os.close(self._read)
        self._profile.cleanup()

    def send(self, method: str, session: str | None = None, **params: object) -> dict[str, Any]:
        """The result of a command, given when all posted ones were carried out."""
        self.settle()
        self._number += 1
        number = self._number
        message: dict[str, object] = {"id": number, "method": method, "params": params}
        if session is not None:
            message["sessionId"] = session
        os.write(self._write, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._receive()
            if "id" not in answer:
                self.events.append(answer)
                continue
            self._posted.discard(answer["id"])
            assert "error" not in answer, f"{method}: {answer['error']}"
            if answer["id"] == number:
                return dict(answer["result"])

    def settle(self) -> None:
        """Waits until every posted command was carried out."""
        while self._posted:
            answer = self._receive()
            if "id" in answer:
                assert "error" not in answer, answer["error"]
                self._posted.discard(answer["id"])
            else:
                self.events.append(answer)

    def post(self, method: str, session: str, **params: object) -> None:
        """A command whose result is not waited for; commands are carried out in their order."""
        self._number += 1
        message = {"id": self._number, "method": method, "params": params, "sessionId": session}
        self._posted.add(self._number)
        os.write(self._write, json.dumps(message).encode() + b"\0")

    def _receive(self) -> dict[str, Any]:
        while b"\0" not in self._buffer:
            chunk = os.read(self._read, 1 << 20)
            if not chunk:
                raise EOFError("the browser is gone")
            self._buffer += chunk
        text, _, self._buffer = self._buffer.partition(b"\0")
        return dict(json.loads(text))

    @contextmanager
    def page(
        self, *, width: int = 1280, height: int = 900, dark: bool = False, early: str = "", fresh: bool = False
    ) -> Iterator[Page]:
        """An empty tab; `early` is a script that runs in it before any other.

        Tabs are used again, for a new one costs the browser more time than most pages do; one in which something failed is
        not. A fresh one has a process and a profile of its own.
        """
        tab = self._free.pop() if self._free and not fresh else self._new_tab()
        page = Page(self, tab.session)
        page.resize(width, height)
        scheme = "dark" if dark else "light"
        # What blinks costs as much as what is looked at, in every tab that is open.
        features = {"prefers-color-scheme": scheme, "prefers-reduced-motion": "reduce"}
        page.send("Emulation.setEmulatedMedia", features=[{"name": name, "value": features[name]} for name in features])
        script = page.send("Page.addScriptToEvaluateOnNewDocument", source=early)["identifier"]
        try:
            yield page
        except BaseException:
            self._close_tab(tab)
            raise
        if fresh:
            self._close_tab(tab)
            return
        page.send("Page.removeScriptToEvaluateOnNewDocument", identifier=script)
        page.send("Page.navigate", url="about:blank")
        page.send("Storage.clearDataForOrigin", origin="file://", storageTypes="all")
        self._free.append(tab)

    def _new_tab(self) -> Tab:
        context = self.send("Target.createBrowserContext")["browserContextId"]
        target = self.send("Target.createTarget", url="about:blank", browserContextId=context)["targetId"]
        session = self.send("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network", "DOM"):
            self.send(f"{domain}.enable", session)
        self.send("Emulation.setFocusEmulationEnabled", session, enabled=True)
        return Tab(context, session)

    def _close_tab(self, tab: Tab) -> None:
        self.send("Target.disposeBrowserContext", browserContextId=tab.context)


class Tab(NamedTuple):
    """A tab as the browser knows it: its profile, and the session in which it takes commands."""

    context: str
    session: str


class Page:
    """A tab."""

    def __init__(self, browser: Browser, session: str) -> None:
        self._browser = browser
        self._session = session
        self._seen = len(browser.events)

    def send(self, method: str, **params: object) -> dict[str, Any]:
        """The result of a command to this tab."""
        return self._browser.send(method, self._session, **params)

    def events(self) -> list[dict[str, Any]]:
        """What the tab told so far."""
        return [event for event in self._browser.events[self._seen :] if event.get("sessionId") == self._session]

    def resize(self, width: int, height: int) -> None:
        """Sets the size of the window."""
        self.send("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=False)

    def open(self, path: Path) -> None:
        """Loads a file and waits until it has loaded."""
        self.send("Page.navigate", url=path.resolve().as_uri())
        self.wait(f"document.readyState === 'complete' && location.href.endsWith({json.dumps(path.name)})")

    def evaluate(self, expression: str) -> Any:
        """The value of an expression, or of its promise."""
        answer = self.send("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in answer, answer["exceptionDetails"]
        return answer["result"].get("value")

    def wait(self, condition: str, seconds: float = WAIT) -> None:
        """Waits until an expression is true, looking once a frame."""
        script = (
            f"new Promise((done) => {{ const end = Date.now() + {seconds * 1000:g};"
            f"const look = () => {{ if ({condition}) done(true); else if (Date.now() > end) done(false);"
            " else setTimeout(look, 4); }; look(); })"
        )
        # While a page loads its script context may go away under the promise.
        for _ in range(20):
            try:
                met = self.evaluate(script)
            except AssertionError as fault:
                if "context" not in str(fault):
                    raise
                continue
            assert met, f"not true within {seconds:g} s: {condition}"
            return

    def key(self, kind: str, code: str, key: str = "", modifiers: int = 0) -> None:
        """A trusted key event, `down` or `up`. Without text, so that the browser types nothing of its own."""
        name = "rawKeyDown" if kind == "down" else "keyUp"
        virtual = {"Tab": 9, "Enter": 13, "Escape": 27, "Space": 32}.get(code, 0)
        self._browser.post(
            "Input.dispatchKeyEvent",
            self._session,
            type=name,
            code=code,
            key=key or code,
            modifiers=modifiers,
            windowsVirtualKeyCode=virtual,
        )

    def click(self, x: float, y: float) -> None:
        """A click of the main button."""
        for kind in ("mousePressed", "mouseReleased"):
            self.mouse(kind, x, y)

    def mouse(self, kind: str, x: float, y: float) -> None:
        """One mouse event."""
        self.send("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)

    def screenshot(self, path: Path, *, whole: bool = True) -> None:
        """The page as a PNG."""
        picture = self.send("Page.captureScreenshot", captureBeyondViewport=whole)["data"]
        path.write_bytes(base64.b64decode(picture))

    def pdf(self) -> bytes:
        """The page as the browser prints it."""
        printed = self.send("Page.printToPDF", preferCSSPageSize=True, printBackground=True)
        return base64.b64decode(printed["data"])

    def faults(self) -> list[str]:
        """Errors and warnings of the console, uncaught exceptions, and requests for anything but the file itself."""
        found = []
        for event in self.events():
            params = event["params"]
            match event["method"]:
                case "Runtime.exceptionThrown":
                    details = params["exceptionDetails"]
                    found.append(f"exception: {details.get('exception', {}).get('description', details['text'])}")
                case "Runtime.consoleAPICalled" if params["type"] in ("error", "warning", "assert"):
                    found.append(f"console: {params['args']}")
                case "Log.entryAdded":
                    found.append(f"log: {params['entry']['text']}")
                case "Network.requestWillBeSent" if not params["request"]["url"].startswith(("file:", "about:")):
                    found.append(f"request: {params['request']['url'][:200]}")
        return found
