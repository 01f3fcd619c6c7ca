#!/usr/bin/env python3
"""Streams a recorded run folder to Aslaid as a cell would: Python 3, standard library only.

    TOKEN=... python3 stream.py FOLDER [http://127.0.0.1:4312]

Sends profiles (NDJSON), progress, rework, poses and signals in order of time, each body until it is acknowledged, answers
commands, ends the run and prints its id. A cell of your own replaces `bodies` and `obey`; the rest may stay.
"""
import csv
import json
import os
import re
import sys
import threading
import time
import urllib.error
import urllib.request
import uuid

ROW_STREAMS = ["progress", "rework", "poses", "signals"]
TEXT_COLUMNS = {"event", "who", "reason", "device", "from", "to", "name"}
NDJSON, JSON = "application/x-ndjson", "application/json"
BATCH = 200  # messages in one body: some tenths of a second of a print
AGAIN_S = 0.5  # between two tries


class Wire:
    """One server and one token."""

    def __init__(self, server, token):
        self.base, self.token = server + "/api/v1", token

    def call(self, method, path, body_type=None, text=None, headers=None):
        """One call, again and again until the server has answered it. What the server refuses ends the program: it would refuse it again."""
        sent = {"Authorization": "Bearer " + self.token, **(headers or {})}
        if text is not None:
            sent["Content-Type"] = body_type
        data = text.encode() if text is not None else b"" if method == "POST" else None
        while True:
            pause = AGAIN_S
            try:
                request = urllib.request.Request(self.base + path, data=data, method=method, headers=sent)
                with urllib.request.urlopen(request) as response:
                    answer = response.read()
                return json.loads(answer) if answer else None
            except urllib.error.HTTPError as error:
                if error.code < 500:
                    raise SystemExit("%s %s: %d %s" % (method, path, error.code, error.read().decode())) from None
                pause = float(error.headers.get("Retry-After") or AGAIN_S)
            except (OSError, ValueError):
                pass  # not there, or gone in the middle: nothing was acknowledged
            except Exception as error:  # http.client has errors of its own for an answer that breaks off
                if not type(error).__module__.startswith("http"):
                    raise
            time.sleep(pause)


def cell_value(key, text):
    """A column's text as the wire takes it."""
    if key in TEXT_COLUMNS:
        return text
    return int(text) if re.fullmatch(r"-?\d+", text) else float(text)


def rows(folder, name):
    """Rows of a CSV file with its columns in camelCase."""
    path = os.path.join(folder, name + ".csv")
    if not os.path.exists(path):
        return []
    with open(path, newline="", encoding="utf-8") as file:
        head, *lines = [line for line in csv.reader(file) if line]
    keys = [re.sub(r"_([a-z])", lambda match: match.group(1).upper(), column.strip()) for column in head]
    return [{key: cell_value(key, text) for key, text in zip(keys, line)} for line in lines]


def messages(folder):
    """Everything of the folder as (tS, stream, head, item), in order of time; at equal times rows before profiles."""
    found = [(row["tS"], stream, "", row) for stream in ROW_STREAMS for row in rows(folder, stream)]
    for name in sorted(name for name in os.listdir(folder) if re.fullmatch(r"profiles(\..+)?\.ndjson", name)):
        with open(os.path.join(folder, name), encoding="utf-8") as file:
            head, *lines = [line.rstrip("\n") for line in file if line.strip()]
        found += [(json.loads(line)["tS"], "profiles", head, line) for line in lines]
    return sorted(found, key=lambda message: message[0])  # stable


def bodies(folder):
    """Messages in bodies: those of one stream, up to BATCH of a stretch of time."""
    found = messages(folder)
    for at in range(0, len(found), BATCH):
        groups = {}
        for t_s, stream, head, item in found[at:at + BATCH]:
            groups.setdefault((stream, head), []).append((t_s, item))
        for (stream, head), group in groups.items():
            items = [item for _, item in group]
            text = "\n".join([head, *items]) + "\n" if head else json.dumps(items)
            yield stream, group[-1][0], NDJSON if head else JSON, text


class Cell:
    """A recording cannot be changed, so this "cell" only stops and goes on."""

    def __init__(self):
        self.t_s, self.may_go = 0.0, threading.Event()
        self.may_go.set()
        self.is_aborted = self.is_over = False

    def obey(self, command):
        kind = command["kind"]
        if kind == "pause":
            self.may_go.clear()
        elif kind == "resume":
            self.may_go.set()
        elif kind == "abort":
            self.is_aborted = True
            self.may_go.set()
        else:
            return {"outcome": "refused", "note": "a recording's flow is what it was"}
        return {"outcome": "done", "note": "by the example client"}

    def answer_commands(self, wire, run):
        """Asks for commands and answers them. A real cell also pauses by itself when this gets no answer for its cellSilenceS."""
        after = 0
        while not self.is_over:
            for command in wire.call("GET", "%s/commands?after=%d&waitS=1" % (run, after)):
                receipt = {**self.obey(command), "tS": self.t_s}
                wire.call("POST", "%s/commands/%d/receipt" % (run, command["n"]), JSON, json.dumps(receipt))
                after = command["n"]


def main():
    if len(sys.argv) < 2 or "TOKEN" not in os.environ:
        raise SystemExit("usage: TOKEN=... python3 stream.py FOLDER [SERVER]")
    folder, server = sys.argv[1], sys.argv[2] if len(sys.argv) > 2 else "http://127.0.0.1:4312"
    wire, cell = Wire(server, os.environ["TOKEN"]), Cell()
    with open(os.path.join(folder, "job.json"), encoding="utf-8") as file:
        job = json.load(file)
    plan_file = job["plan"]["file"]
    with open(os.path.join(folder, plan_file), newline="", encoding="utf-8") as file:
        new_run = {"job": job, "planText": file.read(), "planFormat": "gcode" if plan_file.endswith(".gcode") else "csv"}
    run_id = wire.call("POST", "/runs", JSON, json.dumps(new_run), {"Idempotency-Key": str(uuid.uuid4())})["runId"]
    run = "/runs/" + run_id
    commands = threading.Thread(target=cell.answer_commands, args=(wire, run), daemon=True)
    commands.start()
    for stream, t_s, body_type, text in bodies(folder):
        cell.may_go.wait()
        if cell.is_aborted:
            break
        for refused in wire.call("POST", "%s/%s" % (run, stream), body_type, text)["rejected"]:
            print("%s %d was refused: %s" % (stream, refused["index"], refused["reason"]), file=sys.stderr)
        cell.t_s = t_s
    cell.is_over = True
    commands.join()
    wire.call("POST", run + "/finish")
    print(run_id)


if __name__ == "__main__":
    main()
