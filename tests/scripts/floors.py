#!/usr/bin/python3
"""What the sources under ROOT include and call their types, against the order of the floors: one line for each fault.

Usage: floors.py ROOT FLOOR...   (lowest floor first). SPDX-License-Identifier: GPL-3.0-or-later
"""
import pathlib
import re
import sys


TOPS = ("cli", "web")  # two programs of the same commands; neither knows of the other


def read_sources(root):
    """Text of every .c and .h by its path below root, without comments."""
    files = sorted(p for p in root.rglob("*.[ch]"))
    return {str(p.relative_to(root)): re.sub(r"/\*.*?\*/|//[^\n]*", "", p.read_text(), flags=re.S) for p in files}


def wrong_floors(sources, order):
    for path, text in sources.items():
        floor = path.rpartition("/")[0]
        if floor not in order:
            yield f"{path} is on no floor"
            continue
        allowed = [lower for lower in order[: order.index(floor) + 1] if {lower, floor} != set(TOPS)]
        for header in re.findall(r'^#include "([^"]*)"', text, re.M):
            if header == "slimmargin.h":
                if path != "api/api.c":
                    yield f"{path} includes the public header"
            elif "/" not in header:
                yield f"{path} includes {header} without its floor"
            elif header.rpartition("/")[0] not in allowed:
                yield f"{path} includes {header}"


def circles(sources):
    """Modules, .c and .h taken together, that reach themselves by includes."""
    uses = {}
    for path, text in sources.items():
        module = path[:-2]
        uses.setdefault(module, set()).update(
            {header for header in re.findall(r'^#include "([^"]*)\.h"', text, re.M)} - {module})

    def reached(start):
        seen, todo = set(), list(uses[start])
        while todo:
            module = todo.pop()
            if module not in seen:
                seen.add(module)
                todo.extend(uses.get(module, ()))
        return seen

    reach = {module: reached(module) for module in uses}
    found = {tuple(sorted(m for m in reach[module] if module in reach.get(m, ()))) for module in uses
             if module in reach[module]}
    for circle in sorted(found):
        yield "a circle of includes: " + " ".join(circle)


def type_names(text):
    """Names that the text gives to types by typedef."""
    names = re.findall(r"^\}\s*(\w+);", text, re.M)
    for line in re.findall(r"^typedef\s+([^{};]*);", text, re.M):
        pointer = re.search(r"\(\s*\*\s*(\w+)", line)
        function = re.search(r"(\w+)\s*\(", line)
        plain = re.search(r"(\w+)\s*(?:\[[^]]*\]\s*)*$", line)
        names.append((pointer or function or plain).group(1))
    return names


def shared_names(sources):
    """A type of a header has its name for itself, also against the types inside a .c file."""
    where = {}
    for path, text in sources.items():
        for name in type_names(text):
            where.setdefault(name, []).append(path)
    for name, paths in sorted(where.items()):
        if len(paths) > 1 and any(path.endswith(".h") for path in paths):
            yield f"several types are called {name}: " + " ".join(paths)


def main():
    root, order = pathlib.Path(sys.argv[1]), sys.argv[2:]
    sources = read_sources(root)
    for fault in [*wrong_floors(sources, order), *circles(sources), *shared_names(sources)]:
        print(fault)


main()
