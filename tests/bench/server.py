"""A language server's other side, for measuring: one thread, and no parsing while the clock runs."""

import json
import os
import re
import select
import subprocess
import time

PATIENCE = 30
TOKENS = ["keyword", "property", "string", "comment", "number", "operator", "variable", "function", "type"]
CAPABILITIES = {
    "general": {"positionEncodings": ["utf-16"]},
    "workspace": {"configuration": True, "workspaceFolders": True},
    "window": {"workDoneProgress": True},
    "textDocument": {
        "synchronization": {"didSave": True},
        "publishDiagnostics": {"versionSupport": True},
        "hover": {"contentFormat": ["markdown"]},
        "semanticTokens": {
            "requests": {"full": True},
            "tokenTypes": TOKENS,
            "tokenModifiers": [],
            "formats": ["relative"],
        },
        "codeAction": {"codeActionLiteralSupport": {"codeActionKind": {"valueSet": ["quickfix"]}}},
    },
}


def frame(message):
    body = json.dumps({"jsonrpc": "2.0", **message}).encode()
    return b"Content-Length: %d\r\n\r\n" % len(body) + body


class Server:
    """A running server with one document open. `started` is how many seconds it took to say what it can do."""

    def __init__(self, command, folder, language, uri, text):
        began = time.perf_counter()
        self.process = subprocess.Popen(
            command, cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, bufsize=0
        )
        self.stdin, self.stdout = self.process.stdin.fileno(), self.process.stdout.fileno()
        os.set_blocking(self.stdin, False)
        self.unread, self.id, self.version, self.uri = bytearray(), 0, 1, uri
        root = "file://" + folder
        folders = [{"uri": root, "name": "bench"}]
        self.request(
            "initialize",
            {"processId": os.getpid(), "rootUri": root, "workspaceFolders": folders, "capabilities": CAPABILITIES},
        )
        self.started = self.arrived - began
        self.send(frame({"method": "initialized", "params": {}}))
        document = {"uri": uri, "languageId": language, "version": 1, "text": text}
        self.send(frame({"method": "textDocument/didOpen", "params": {"textDocument": document}}))
        self.diagnostics = self.published()

    def edit(self, start, end, text):
        """Replaces a stretch of the document; the seconds from the first byte out to the diagnostics in."""
        self.version += 1
        change = {"range": {"start": start, "end": end}, "text": text}
        document = {"uri": self.uri, "version": self.version}
        params = {"textDocument": document, "contentChanges": [change]}
        framed = frame({"method": "textDocument/didChange", "params": params})
        began = time.perf_counter()
        self.send(framed)
        self.diagnostics = self.published()
        return self.arrived - began

    def request(self, method, params):
        """The seconds from the first byte out to the answer in; what it is stays in `answer`."""
        self.id += 1
        framed = frame({"id": self.id, "method": method, "params": params})
        began = time.perf_counter()
        self.send(framed)
        self.answer = self.until(lambda message: message.get("id") == self.id and "method" not in message)
        return self.arrived - began

    def published(self):
        """The diagnostics of the version last sent."""
        def ours(message):
            params = message.get("params") or {}
            return "diagnostics" in params and params["uri"] == self.uri and params.get("version") == self.version

        return self.until(ours)["params"]["diagnostics"]

    def until(self, wanted):
        while True:
            message = self.receive()
            if wanted(message):
                return message
            if "method" in message and "id" in message:
                items = (message.get("params") or {}).get("items")
                self.send(frame({"id": message["id"], "result": items and [None] * len(items)}))

    def receive(self):
        """The next message; `arrived` is when its last byte did."""
        while True:
            end = self.unread.find(b"\r\n\r\n")
            if end >= 0:
                size = end + 4 + int(re.search(rb"(?i)content-length: *(\d+)", self.unread[:end]).group(1))
                if len(self.unread) >= size:
                    body = bytes(self.unread[end + 4 : size])
                    del self.unread[:size]
                    return json.loads(body)
            if not select.select([self.stdout], [], [], PATIENCE)[0]:
                raise SystemExit(f"{self.process.args}: no answer in {PATIENCE} s")
            chunk = os.read(self.stdout, 1 << 20)
            self.arrived = time.perf_counter()
            if not chunk:
                raise SystemExit(f"{self.process.args}: ended with {self.process.wait()}")
            self.unread += chunk

    def send(self, data):
        while data:
            select.select([], [self.stdin], [], PATIENCE)
            data = data[os.write(self.stdin, data) :]

    def memory(self):
        """Resident memory now and at its peak, in MB."""
        with open(f"/proc/{self.process.pid}/status", encoding="ascii") as status:
            text = status.read()
        return [int(re.search(name + r":\s+(\d+)", text).group(1)) / 1024 for name in ("VmRSS", "VmHWM")]

    def stop(self):
        self.process.kill()
        self.process.wait()
