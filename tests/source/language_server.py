"""A YAML language server at work: the npm package yaml-language-server, driven over its standard input and output.

Protocol: Microsoft, Language Server Protocol 3.17, base protocol and text document synchronization, as remembered.
"""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from types import TracebackType
from typing import Any

from tests import tools

VERSION = "1.24.0"

SETTINGS = {
    "yaml": {
        "validate": True,
        "completion": True,
        "hover": True,
        "schemaStore": {"enable": False},
        "kubernetesCRDStore": {"enable": False},
    },
    "http": {},
    "[yaml]": {},
}
"""Nothing is fetched from anywhere: schemas are found by the first line of a file alone."""


class LanguageServer:
    """A running server; files are opened with a text that need not be on disk."""

    def __init__(self, root: Path) -> None:
        node = tools.tool("node")
        script = tools.node_file("yaml-language-server", VERSION, "bin/yaml-language-server")
        self.process = subprocess.Popen([node, script, "--stdio"], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.number = 0
        self.diagnostics: dict[str, list[dict[str, Any]]] = {}
        capabilities = {
            "textDocument": {"publishDiagnostics": {}, "hover": {"contentFormat": ["plaintext"]}},
            "workspace": {"configuration": True},
        }
        self.ask("initialize", {"processId": None, "rootUri": root.as_uri(), "capabilities": capabilities})
        self.tell("initialized", {})
        self.tell("workspace/didChangeConfiguration", {"settings": SETTINGS})

    def __enter__(self) -> LanguageServer:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.process.kill()
        self.process.communicate()

    def open(self, path: Path, text: str) -> list[dict[str, Any]]:
        """Opens a file with a text; what the server has to say of it."""
        uri = path.as_uri()
        document = {"uri": uri, "languageId": "yaml", "version": 1, "text": text}
        self.tell("textDocument/didOpen", {"textDocument": document})
        while uri not in self.diagnostics:
            self._take()
        return self.diagnostics[uri]

    def complete(self, path: Path, line: int, column: int) -> set[str]:
        """What is offered at a place of an open file; both counted from 0."""
        found = self.ask("textDocument/completion", self._place(path, line, column))
        items = found["items"] if isinstance(found, dict) else found or []
        return {item["label"] for item in items}

    def hover(self, path: Path, line: int, column: int) -> str:
        """What is told of a place of an open file."""
        found = self.ask("textDocument/hover", self._place(path, line, column))
        return json.dumps(found["contents"]) if found else ""

    def _place(self, path: Path, line: int, column: int) -> dict[str, Any]:
        return {"textDocument": {"uri": path.as_uri()}, "position": {"line": line, "character": column}}

    def tell(self, method: str, params: Any) -> None:
        """A notification."""
        self._send({"method": method, "params": params})

    def ask(self, method: str, params: Any) -> Any:
        """The result of a request."""
        self.number += 1
        number = self.number
        self._send({"id": number, "method": method, "params": params})
        while True:
            answer = self._take()
            if answer.get("id") == number and "method" not in answer:
                assert "error" not in answer, answer
                return answer.get("result")

    def _send(self, message: dict[str, Any]) -> None:
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        assert self.process.stdin
        self.process.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.process.stdin.flush()

    def _take(self) -> dict[str, Any]:
        """The next message of the server; questions of its own are answered, what it finds is kept."""
        assert self.process.stdout
        length = 0
        while (header := self.process.stdout.readline().strip()) or not length:
            assert header, "the language server has ended"
            if header.lower().startswith(b"content-length:"):
                length = int(header.split(b":")[1])
        message: dict[str, Any] = json.loads(self.process.stdout.read(length))
        if message.get("method") == "textDocument/publishDiagnostics":
            self.diagnostics[message["params"]["uri"]] = message["params"]["diagnostics"]
        elif message.get("method") == "workspace/configuration":
            wanted = [SETTINGS.get(item.get("section")) for item in message["params"]["items"]]
            self._send({"id": message["id"], "result": wanted})
        elif "method" in message and "id" in message:
            self._send({"id": message["id"], "result": None})
        return message
