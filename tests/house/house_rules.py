#!/usr/bin/env python3
"""The rules of the house that no compiler enforces: see "Rooms and floors" in DEVELOPERS.md.

    house_rules.py FOLDER        names each breach in the tree below FOLDER; status 1 if there is one
    house_rules.py --self-test   breaks each rule in a small tree of its own, and sees each breach named
"""

import os
import re
import sys
import tempfile

MOST_LINES = 400
MOST_UNITS = 30
MOST_FILES_OF_RUNNER = 6
ROOMS = ("base", "colorimetry", "results_schema", "calibration", "stimuli", "protocols", "analysis", "runner")

TYPE = re.compile(r"^(?:struct|class|union|enum(?: class)?)\s+(\w+)\b(?!::)[^;(]*(?:\{.*|:.*|)$")
ALIAS = re.compile(r"^using\s+(\w+)\s*=")
OPENED = re.compile(r"^namespace(?:\s+([\w:]+))?\s*\{")
CLOSED = re.compile(r"^\}\s*//\s*namespace")


def files_below(top, endings):
    for folder, folders, names in os.walk(top):
        folders[:] = sorted(name for name in folders if not name.startswith(".") and name not in ("build", "node_modules"))
        for name in sorted(names):
            if name.endswith(endings):
                yield os.path.relpath(os.path.join(folder, name), top)


def lines_of(top, path):
    with open(os.path.join(top, path), encoding="utf-8") as file:
        return file.read().splitlines()


def types_of(lines):
    """(namespace, name, line) of each type that other units can see: those of unnamed namespaces are left out.

    The formatter indents nothing inside a namespace, so that such a type begins in the first column."""
    inside = []
    for number, line in enumerate(lines, 1):
        if opened := OPENED.match(line):
            inside.append(opened.group(1))
        elif CLOSED.match(line) and inside:
            inside.pop()
        elif (found := TYPE.match(line) or ALIAS.match(line)) and None not in inside:
            yield "::".join(inside), found.group(1), number


def types_that_stand_twice(top):
    seen = {}
    for room in ROOMS:
        for path in files_below(os.path.join(top, room), (".h", ".cpp")):
            path = os.path.join(room, path)
            for namespace, name, number in types_of(lines_of(top, path)):
                if not namespace:
                    continue
                place = f"{path}:{number}"
                first = seen.setdefault((namespace, name), place)
                if first != place:
                    yield f"{place}: the type {namespace}::{name} stands in {first} too: give one of them a name of its own"


def files_that_are_too_long(top):
    for path in files_below(top, (".h", ".cpp", ".js", ".mjs", ".py")):
        count = len(lines_of(top, path))
        if count > MOST_LINES:
            yield f"{path}: {count} lines, more than {MOST_LINES}: split it by subject"


def rooms_that_are_too_full(top):
    units = {}
    for room in ROOMS:
        for path in files_below(os.path.join(top, room), (".h", ".cpp")):
            folder, name = os.path.split(os.path.join(room, path))
            units.setdefault(folder, set()).add(os.path.splitext(name)[0])
    for folder, names in sorted(units.items()):
        if len(names) > MOST_UNITS:
            yield f"{folder}: {len(names)} units, more than {MOST_UNITS}: make rooms in it"
    runner = os.path.join(top, "runner")
    own = [name for name in os.listdir(runner) if os.path.isfile(os.path.join(runner, name))] if os.path.isdir(runner) else []
    if len(own) > MOST_FILES_OF_RUNNER:
        yield f"runner: {len(own)} files of its own, more than {MOST_FILES_OF_RUNNER}: {', '.join(sorted(own))}"


def tolerances_without_a_name(top):
    for path in files_below(os.path.join(top, "tests"), (".h", ".cpp")):
        text = "\n".join(re.sub(r'"(?:\\.|[^"\\])*"|//.*', '""', line) for line in lines_of(top, os.path.join("tests", path)))
        for found in re.finditer(r"\bApprox\(", text):
            depth, end = 1, found.end()
            while depth and end < len(text):
                depth += {"(": 1, ")": -1}.get(text[end], 0)
                end += 1
            if not re.match(r"\s*\.(epsilon|margin)\(", text[end:]):
                number = text.count("\n", 0, found.start()) + 1
                yield f"tests/{path}:{number}: a bare Approx hides its tolerance: name one, by epsilon or margin"


RULES = (types_that_stand_twice, files_that_are_too_long, rooms_that_are_too_full, tolerances_without_a_name)


def breaches(top):
    return [breach for rule in RULES for breach in rule(top)]


def self_test():
    broken = {
        "base/one.h": "namespace isoseam {\nstruct Same {\n};\n}  // namespace isoseam\n",
        "calibration/two.h": "namespace isoseam {\nenum class Same { a };\n}  // namespace isoseam\n",
        # Neither a declaration, nor an unnamed namespace, nor another namespace is a second type.
        "stimuli/three.cpp": "namespace isoseam {\nstruct Same;\nnamespace {\nstruct Same {};\n}  // namespace\n"
                             "namespace other {\nstruct Same {};\n}  // namespace other\n}  // namespace isoseam\n",
        "analysis/long.cpp": "//\n" * (MOST_LINES + 1),
        "tests/some_test.cpp": "CHECK(x == Approx(1.0));\nCHECK(x == Approx(f(\")\")).epsilon(kTold));\n",
    }
    broken.update({f"protocols/full/unit_{i}.cpp": "//\n" for i in range(MOST_UNITS + 1)})
    broken.update({f"runner/file_{i}": "\n" for i in range(MOST_FILES_OF_RUNNER + 1)})
    with tempfile.TemporaryDirectory() as top:
        for path, text in broken.items():
            os.makedirs(os.path.dirname(os.path.join(top, path)), exist_ok=True)
            with open(os.path.join(top, path), "w", encoding="utf-8") as file:
                file.write(text)
        found = breaches(top)
    expected = ("calibration/two.h:2: the type isoseam::Same stands in base/one.h:2 too", f"analysis/long.cpp: {MOST_LINES + 1} lines",
                f"protocols/full: {MOST_UNITS + 1} units", f"runner: {MOST_FILES_OF_RUNNER + 1} files",
                "tests/some_test.cpp:1: a bare Approx")
    missing = [start for start in expected if not any(breach.startswith(start) for breach in found)]
    if missing or len(found) != len(expected):
        print("not found:", missing, "\nfound:", *found, sep="\n  ")
        return 1
    print(f"each of {len(expected)} breaches was named")
    return 0


def main():
    if sys.argv[1:] == ["--self-test"]:
        return self_test()
    if len(sys.argv) != 2 or not os.path.isdir(sys.argv[1]):
        print(__doc__)
        return 2
    found = breaches(sys.argv[1])
    print("\n".join(found) if found else "the house is in order")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
