#!/usr/bin/env python3
"""A client of `wend language-server` that shares nothing with it: the protocol by
hand, after the specification of 3.17, over pipes. Every claim is printed; a failed
one ends with 1. The program `wend` is on the path.

client.py edits    random edits: server and `wend check` say the same, in both
                   encodings; what the protocol asks for; memory over 10,000 edits
client.py times    keystroke to messages, at 50, 500 and 5,000 lines
"""
import json
import os
import queue
import random
import subprocess
import sys
import tempfile
import threading
import time

failed = 0


def claim(what, held, seen=""):
    global failed
    print(("ok    " if held else "FAILED ") + what + ("" if held else f": {seen}"), flush=True)
    failed += not held


class Server:
    def __init__(self, encodings):
        self.process = subprocess.Popen(["wend", "language-server"], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.answers, self.said, self.lock, self.next = {}, queue.Queue(), threading.Condition(), 0
        threading.Thread(target=self.read, daemon=True).start()
        self.result = self.ask("initialize", {"processId": None, "rootUri": None, "capabilities": {"general": {"positionEncodings": encodings}},
                                              "initializationOptions": {"inlayHints": True}})["result"]
        self.tell("initialized", {})

    def read(self):
        out = self.process.stdout
        while True:
            length = 0
            while True:
                line = out.readline()
                if not line:
                    return
                if line == b"\r\n":
                    break
                name, _, value = line.partition(b":")
                if name.lower() == b"content-length":
                    length = int(value)
            message = json.loads(out.read(length))
            if "method" in message:
                self.said.put((time.perf_counter(), message))
            else:
                with self.lock:
                    self.answers[message["id"]] = message
                    self.lock.notify_all()

    def send(self, message):
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        self.process.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.process.stdin.flush()

    def tell(self, method, params):
        self.send({"method": method, "params": params})

    def begin(self, method, params):
        """Begin asks; every second question goes by a name, not a number."""
        self.next += 1
        name = self.next if self.next % 2 else f"question {self.next}"
        self.send({"id": name, "method": method, "params": params})
        return name

    def answer(self, name):
        with self.lock:
            self.lock.wait_for(lambda: name in self.answers, 120)
            return self.answers.pop(name)

    def ask(self, method, params):
        return self.answer(self.begin(method, params))

    def messages(self, version, times):
        """The messages about a version, as they are sent the first or second time."""
        while True:
            at, message = self.said.get(timeout=120)
            if message["method"] == "textDocument/publishDiagnostics" and message["params"].get("version") == version:
                times -= 1
                if times == 0:
                    return at, message["params"]["diagnostics"]

    def ends(self):
        self.process.stdin.close()
        return self.process.wait(20)


def position(text, at, encoding):
    """A position of the protocol for a place in a text, counted in code points."""
    before = text[:at]
    start = max(before.rfind("\n"), before.rfind("\r")) + 1
    # A line ends at \r\n, \n or \r.
    line = before.replace("\r\n", "\n").replace("\r", "\n").count("\n")
    unit = {"utf-8": lambda s: len(s.encode()), "utf-16": lambda s: len(s.encode("utf-16-le")) // 2}[encoding]
    return {"line": line, "character": unit(before[start:])}


def offset(text, place, encoding):
    """The byte offset of a position of the protocol."""
    start = 0
    for _ in range(place["line"]):
        ends = [e for e in (text.find("\n", start), text.find("\r", start)) if e >= 0]
        start = min(ends) + (2 if text[min(ends):min(ends) + 2] == "\r\n" else 1)
    coded, codec = text[start:], {"utf-8": "utf-8", "utf-16": "utf-16-le"}[encoding]
    wide = coded.encode(codec)[:place["character"] * (2 if encoding == "utf-16" else 1)].decode(codec)
    return len((text[:start] + wide).encode())


PIECES = ["ahead 20\n", "let ä = 3\n", "loop 4 {", "}", "𝄞", '"', "turn ", "\n", "(", ")", "draw x", "# c\n", ", ", "ä", "figure f(a) { ahead a }\n",
          "f 3\n", "ahead 900\n", "note \"{1}\"\n", "begin 5, 5\n", "if ä > 2 { turn 20mm }\n", "\t", "reach (1, 2)\n", "x"]


def random_edits(encoding, folder):
    server = Server(["utf-16", "utf-8"] if encoding == "utf-8" else ["utf-16"])
    claim(f"{encoding} is agreed on", server.result["capabilities"]["positionEncoding"] == encoding, server.result)
    random.seed(7)
    agreed = 0
    for sequence in range(12):
        path = os.path.join(folder, f"{encoding}-{sequence}.wend")
        uri, text, version = "file://" + path, "", 1
        server.tell("textDocument/didOpen", {"textDocument": {"uri": uri, "languageId": "wend", "version": version, "text": text}})
        for _ in range(random.randint(20, 60)):
            a = random.randint(0, len(text))
            b = min(len(text), a + (random.randint(0, 8) if random.random() < 0.3 else 0))
            piece = random.choice(PIECES)
            version += 1
            server.tell("textDocument/didChange", {"textDocument": {"uri": uri, "version": version}, "contentChanges": [
                {"range": {"start": position(text, a, encoding), "end": position(text, b, encoding)}, "text": piece}]})
            text = text[:a] + piece + text[b:]
            if random.random() < 0.2:
                where = {"textDocument": {"uri": uri}, "position": position(text, random.randint(0, len(text)), encoding)}
                answer = server.ask("textDocument/" + random.choice(["hover", "completion", "signatureHelp", "definition"]), where)
                if ("result" in answer) == ("error" in answer) or "error" in answer and answer["error"]["code"] != -32801:
                    claim("every question has its answer", False, answer)
        _, said = server.messages(version, 2)
        with open(path, "w", newline="") as file:
            file.write(text)
        check = subprocess.run(["wend", "check", "--json", path], capture_output=True, text=True)
        want = sorted((d["code"], d["start"]["offset"], d["end"]["offset"]) for d in json.loads(check.stdout)[0]["diagnostics"])
        got = sorted((d["code"], offset(text, d["range"]["start"], encoding), offset(text, d["range"]["end"], encoding)) for d in said)
        if got == want:
            agreed += 1
        else:
            claim("server and check say the same", False, f"{got} and {want} about {text!r}")
    claim(f"after random edits server and check say the same, {encoding}", agreed == 12, agreed)
    return server


def protocol(server, folder):
    uri = "file://" + os.path.join(folder, "protocol.wend")
    server.tell("textDocument/didOpen", {"textDocument": {"uri": uri, "languageId": "wend", "version": 1, "text": "ahead 20\n\n"}})
    here = {"textDocument": {"uri": uri}, "position": {"line": 1, "character": 0}}
    answer = server.ask("textDocument/hover", here)
    claim("an answer that says nothing is null", "result" in answer and answer["result"] is None, answer)
    claim("an unknown method is refused", server.ask("textDocument/unheardOf", {})["error"]["code"] == -32601)
    long = "note \"a {1 + 2}\"\n" * 20000
    server.tell("textDocument/didChange", {"textDocument": {"uri": uri, "version": 2}, "contentChanges": [{"text": long}]})
    asked = [server.begin("textDocument/hover", here) for _ in range(4)]
    for name in asked:
        server.tell("$/cancelRequest", {"id": name})
    errors = [server.answer(name).get("error", {}).get("code") for name in asked]
    claim("what is taken back is answered as such", errors == [-32800] * 4, errors)
    server.tell("textDocument/didChange", {"textDocument": {"uri": uri, "version": 3}, "contentChanges": [{"text": "ahead 20\nturn 30\n"}]})
    hints = server.ask("textDocument/inlayHint", {"textDocument": {"uri": uri}, "range": {"start": {"line": 0, "character": 0}, "end": {"line": 9, "character": 0}}})
    claim("mm and degrees are shown", [h["label"] for h in hints["result"]] == [" mm", "°"], hints)
    server.messages(3, 2)
    lens = server.ask("textDocument/codeLens", {"textDocument": {"uri": uri}})["result"]
    claim("a lens has length and time", "20.0 mm of line" in lens[0]["command"]["title"], lens)
    server.ask("workspace/executeCommand", {"command": lens[0]["command"]["command"], "arguments": lens[0]["command"]["arguments"]})
    shown = ""
    while "the picture is " not in shown:
        shown = server.said.get(timeout=20)[1]["params"].get("message", "")
    with open(shown.removeprefix("the picture is ")) as picture:
        claim("its picture is there to be opened", "</svg>" in picture.read())
    server.tell("textDocument/didChange", {"textDocument": {"uri": uri, "version": 4}, "contentChanges": [{"text": "ahed 20\n"}]})
    _, said = server.messages(4, 1)
    with open(said[0]["codeDescription"]["href"].removeprefix("file://")) as page:
        claim("the page of a message is there to be opened", page.read().startswith("unknown-word"))
    where = {"textDocument": {"uri": uri}, "range": said[0]["range"], "context": {"diagnostics": []}}
    actions = server.ask("textDocument/codeAction", where)["result"]
    claim("its edit is offered though the question names no message", actions and actions[0]["edit"]["changes"][uri][0]["newText"] == "ahead", actions)


def memory(server, folder):
    def resident():
        with open(f"/proc/{server.process.pid}/status") as status:
            return next(int(line.split()[1]) for line in status if line.startswith("VmRSS"))

    text = program(50)
    uri, line = "file://" + os.path.join(folder, "memory.wend"), text.count("\n")
    server.tell("textDocument/didOpen", {"textDocument": {"uri": uri, "languageId": "wend", "version": 1, "text": text}})
    seen = {}
    for version in range(2, 10002):
        change = {"start": {"line": line, "character": 0}, "end": {"line": line, "character": 0}}, "ahead 1"
        if version % 2:
            change = {"start": {"line": line, "character": 0}, "end": {"line": line, "character": 7}}, ""
        server.tell("textDocument/didChange", {"textDocument": {"uri": uri, "version": version}, "contentChanges": [{"range": change[0], "text": change[1]}]})
        if version % 10 == 0:
            server.messages(version, 1)
        if version in (2000, 10000):
            seen[version] = resident()
    claim(f"memory is steady: {seen[2000] / 1024:.0f} MB after 2,000 edits, {seen[10000] / 1024:.0f} MB after 10,000", seen[10000] < 1.3 * seen[2000] + 8192)


def program(lines):
    out, i = [], 0
    while len(out) < lines:
        out += [f"# Part {i}.", f"figure vane_{i}(size, step = 2) {{", "  let half = size / 2", "  loop i in 1..3 {", "    ahead half + i * step", "    turn 360 / 3", "  }", "}",
                f"fn width_{i}(x) = max(x, {i}) + sqrt(x^2 + 1)", f'if width_{i}(3) > 2 {{ branch {{ vane_{i} 4, step: 1 }} }} else {{ note "{{width_{i}(2)}} of {i}" }}']
        i += 1
    return "\n".join(out) + "\n"


def processor(server):
    """The processor time of a server, in seconds."""
    with open(f"/proc/{server.process.pid}/stat") as stat:
        return sum(int(n) for n in stat.read().rpartition(")")[2].split()[11:13]) / os.sysconf("SC_CLK_TCK")


def times(folder):
    server = Server(["utf-16"])
    for lines in (50, 500, 5000):
        text = program(lines)
        uri, line, taken = "file://" + os.path.join(folder, f"{lines}.wend"), text.count("\n") // 2 // 10 * 10 + 2, []
        server.tell("textDocument/didOpen", {"textDocument": {"uri": uri, "languageId": "wend", "version": 1, "text": text}})
        server.messages(1, 1)
        time.sleep(0.2)
        worked = processor(server)
        for version in range(2, 102):
            typed = "x" if version % 2 == 0 else ""
            span = {"start": {"line": line, "character": 18}, "end": {"line": line, "character": 18 + (version % 2)}}
            begun = time.perf_counter()
            server.tell("textDocument/didChange", {"textDocument": {"uri": uri, "version": version}, "contentChanges": [{"range": span, "text": typed}]})
            at, _ = server.messages(version, 1)
            taken.append((at - begun) * 1000)
            time.sleep(0.02)
        worked = (processor(server) - worked) * 10
        taken.sort()
        print(f"{lines:5} lines: keystroke to messages p50 {taken[50]:.1f} ms, p95 {taken[95]:.1f} ms; {worked:.1f} ms of processor time each", flush=True)


with tempfile.TemporaryDirectory() as folder:
    if sys.argv[1] == "times":
        times(folder)
    else:
        os.environ["XDG_STATE_HOME"] = os.path.join(folder, "state")
        random_edits("utf-16", folder).process.kill()
        server = random_edits("utf-8", folder)
        protocol(server, folder)
        memory(server, folder)
        answer = server.ask("shutdown", None)
        claim("shutting down is answered by null", "result" in answer and answer["result"] is None, answer)
        server.tell("exit", None)
        code = server.ends()
        claim("then it ends with 0", code == 0, code)
        server = Server(["utf-16"])
        server.tell("exit", None)
        code = server.ends()
        claim("without that it ends with 1", code == 1, code)
sys.exit(failed > 0)
