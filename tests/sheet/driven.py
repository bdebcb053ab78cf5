"""A page in a real browser, driven as a person would: keys go in, files are chosen and saved, dialogs are answered.

The browser is spoken to in its own protocol over a pipe, so that nothing but the browser is needed.
"""

import fcntl
import json
import os
import select
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sheet.chromium import FLAGS, chromium

PATIENCE = 60
"""Seconds until a browser that says nothing is given up."""


class Browser:
    """INVARIANT: one page at a time is spoken to."""

    def __init__(self, folder: Path) -> None:
        self.downloads = folder / "downloads"
        to_it, self._out = _pipe()
        self._in, from_it = _pipe()
        command = [
            chromium(), *FLAGS, "--remote-debugging-pipe", f"--user-data-dir={folder / 'profile'}", "about:blank",
        ]  # fmt: skip

        def as_three_and_four() -> None:
            os.dup2(to_it, 3)
            os.dup2(from_it, 4)

        self._process = subprocess.Popen(
            command, pass_fds=(3, 4), preexec_fn=as_three_and_four, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        os.close(to_it)
        os.close(from_it)
        self._buffer = b""
        self._number = 0
        self._saved = 0
        self._session: str | None = None
        self._loaded = False
        self.accept = True
        self.asked: list[str] = []
        """What dialogs asked."""
        self.chosen: list[Path] = []
        """What is chosen where a file is to be opened."""
        self.said("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(self.downloads))

    def close(self) -> None:
        os.close(self._out)
        os.close(self._in)
        self._process.terminate()
        self._process.wait(PATIENCE)

    def said(self, method: str, **parameters: Any) -> Any:
        """The answer to one command of the protocol."""
        number = self._send(method, parameters)
        while True:
            message = self._message()
            if message.get("id") == number:
                assert "error" not in message, (method, message["error"])
                return message["result"]
            self._heard(message)

    def _send(self, method: str, parameters: Any) -> int:
        self._number += 1
        message = {"id": self._number, "method": method, "params": parameters}
        if self._session is not None and not method.startswith(("Browser.", "Target.")):
            message["sessionId"] = self._session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        return self._number

    def _message(self) -> Any:
        while b"\0" not in self._buffer:
            ready, _, _ = select.select([self._in], [], [], PATIENCE)
            assert ready, "the browser says nothing"
            more = os.read(self._in, 1 << 16)
            assert more, "the browser has gone"
            self._buffer += more
        first, self._buffer = self._buffer.split(b"\0", 1)
        return json.loads(first)

    def _heard(self, message: Any) -> None:
        if message.get("method") == "Page.javascriptDialogOpening":
            self.asked.append(f"{message['params']['type']}: {message['params']['message']}")
            self._send("Page.handleJavaScriptDialog", {"accept": self.accept})
        if message.get("method") == "Page.loadEventFired":
            self._loaded = True
        if message.get("method") == "Page.fileChooserOpened":
            node = message["params"]["backendNodeId"]
            self._send("DOM.setFileInputFiles", {"files": [str(each) for each in self.chosen], "backendNodeId": node})

    # What a person does

    def visit(self, page: Path) -> None:
        if self._session is None:
            target = self.said("Target.createTarget", url="about:blank")["targetId"]
            self._session = self.said("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
            for part in ("Page", "Runtime", "DOM"):
                self.said(f"{part}.enable")
            self.said("Page.setInterceptFileChooserDialog", enabled=True)
        self._loaded = False
        self.said("Page.navigate", url=page.as_uri())
        self._until_loaded()

    def reload(self) -> None:
        self._loaded = False
        self.said("Page.reload")
        self._until_loaded()

    def _until_loaded(self) -> None:
        while not self._loaded:
            self._heard(self._message())
        self.settled()

    def run(self, script: str) -> Any:
        """The value of a script, waited for."""
        result = self.said(
            "Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True, userGesture=True
        )
        assert "exceptionDetails" not in result, result["exceptionDetails"]
        return result["result"].get("value")

    def until(self, script: str) -> None:
        end = time.monotonic() + PATIENCE
        while not self.run(f"Boolean({script})"):
            assert time.monotonic() < end, script
            time.sleep(0.02)

    def type(self, name: str, text: str) -> None:
        """Into the box of that name, in place of what stands there, and on to the next box."""
        self.run(f"{_box(name)}.focus(); {_box(name)}.select()")
        if text:
            self.said("Input.insertText", text=text)
        else:
            self.key("Delete")
        self.key("Tab")
        self.settled()

    def key(self, key: str) -> None:
        codes = {"Tab": 9, "Delete": 46, "Enter": 13}
        for kind in ("keyDown", "keyUp"):
            self.said("Input.dispatchKeyEvent", type=kind, key=key, code=key, windowsVirtualKeyCode=codes[key])

    def choose(self, name: str, word: str) -> None:
        self.run(
            f"(() => {{ const box = {_box(name)}; box.value = {json.dumps(word)};"
            " box.dispatchEvent(new Event('change', { bubbles: true })); })()"
        )
        self.settled()

    def click(self, id: str) -> None:
        self.run(f"document.getElementById({json.dumps(id)}).click()")
        self.settled()

    def settled(self) -> None:
        """Until the page has drawn what was done."""
        self.run("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")

    def text(self, id: str) -> str:
        found = self.run(f"(document.getElementById({json.dumps(id)}) || {{ textContent: '' }}).textContent")
        assert isinstance(found, str)
        return found

    def value(self, name: str) -> str:
        found = self.run(f"{_box(name)}.value")
        assert isinstance(found, str)
        return found

    def saved(self) -> Path:
        """The file that a click on the button saves, put where no other one of its name comes."""
        self.click("save")
        end = time.monotonic() + PATIENCE
        while not (found := list(self.downloads.glob("*.yaml"))):
            assert time.monotonic() < end, "nothing was saved"
            self.settled()
        (file,) = found
        self._saved += 1
        (self.downloads / str(self._saved)).mkdir()
        return file.rename(self.downloads / str(self._saved) / file.name)

    def open(self, file: Path) -> None:
        self.chosen = [file]
        self.run("document.getElementById('told').textContent = ''")
        self.click("open")
        self.until("document.getElementById('told').textContent")
        self.settled()


@contextmanager
def browser(folder: Path) -> Iterator[Browser]:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "downloads").mkdir(exist_ok=True)
    it = Browser(folder)
    try:
        yield it
    finally:
        it.close()


def _pipe() -> tuple[int, int]:
    """Both ends far above the numbers that the browser speaks on."""
    ends = os.pipe()
    high = tuple(fcntl.fcntl(end, fcntl.F_DUPFD_CLOEXEC, 20) for end in ends)
    for end in ends:
        os.close(end)
    return high[0], high[1]


def _box(name: str) -> str:
    return f"document.getElementsByName({json.dumps(name)})[0]"
