"""The third yardstick: what a handy person would write in an afternoon.

A compiled JSON Schema validator, smallest, largest, out-of-round and taper of each surface against its limits, one
SQLite commit a file (WAL, synchronous=FULL), then a rename. No settle time, no corrections, no repeats, no
uncertainty, no letters. Prints the seconds from listing the folder to the last rename.

usage: script.py DROP FILED DATABASE SCHEMA SHEET
"""

import json
import os
import sqlite3
import sys
import time

from jsonschema import Draft202012Validator


def limits_of(sheet):
    """Per feature and characteristic the widest limits that are stated: service where there are any, else new."""
    found = {}
    for feature in sheet["body"]["features"]:
        rows = {}
        for row in feature["rows"]:
            new, service = row.get("new", {}), row.get("service", {})
            low, high = service.get("min", new.get("min")), service.get("max", new.get("max"))
            if low is not None or high is not None:
                rows[row["characteristic"]] = (
                    float(low) if low is not None else float("-inf"),
                    float(high) if high is not None else float("inf"),
                )
        found[feature["feature"]] = rows
    return found


def judge(drop, limits):
    """Rows of feature, position, characteristic, value and whether it is inside."""
    surfaces = {}
    for reading in drop["body"]["readings"]:
        surface = surfaces.setdefault((reading["feature"], reading["position"]), {})
        surface[(reading["station"], reading["direction"])] = float(reading["value"])
    verdicts = []
    for (feature, position), places in surfaces.items():
        rows = limits.get(feature, {})
        planes, lines = {}, {}
        for (station, direction), value in places.items():
            planes.setdefault(station, []).append(value)
            lines.setdefault(direction, []).append(value)
        spread = lambda groups: max(max(group) - min(group) for group in groups.values())
        values = {
            "smallest": ("size", min(places.values())),
            "largest": ("size", max(places.values())),
            "out-of-round": ("out-of-round", spread(planes)),
            "taper": ("taper", spread(lines)),
        }
        for name, (row, value) in values.items():
            if row in rows:
                low, high = rows[row]
                verdicts.append((feature, position, name, value, low <= value <= high))
    return verdicts


def main():
    drop, filed, database, schema, sheet = sys.argv[1:]
    with open(schema) as file:
        validator = Draft202012Validator(json.load(file))
    with open(sheet) as file:
        limits = limits_of(json.load(file))
    base = sqlite3.connect(database, isolation_level=None)
    base.execute("PRAGMA journal_mode=WAL")
    base.execute("PRAGMA synchronous=FULL")
    base.execute("CREATE TABLE drops (name TEXT, job TEXT, document TEXT, verdicts TEXT)")
    began = time.perf_counter()
    count = beyond = 0
    for name in sorted(os.listdir(drop)):
        path = os.path.join(drop, name)
        with open(path, encoding="utf-8") as file:
            text = file.read()
        document = json.loads(text)
        validator.validate(document)
        verdicts = judge(document, limits)
        beyond += sum(not inside for *_, inside in verdicts)
        base.execute("INSERT INTO drops VALUES (?, ?, ?, ?)", (name, document["job"], text, json.dumps(verdicts)))
        os.rename(path, os.path.join(filed, name))
        count += 1
    print(json.dumps({"seconds": time.perf_counter() - began, "files": count, "beyond": beyond}))


if __name__ == "__main__":
    main()
