"""The JSON Schemas and the reader agree on generated changes of valid cases and profiles: schema_mutations.py PROGRAM FOLDER [SEED]

What the schema refuses, `slimmargin check` must refuse; what it allows, check must take. Where a change touches a rule that
binds several keys (docs/cross-field-rules.md) the schema cannot know: the generator says so, only the first half is
asked, and tests/unit/test_case_refusals.c tests each such rule. SPDX-License-Identifier: GPL-3.0-or-later
"""
import collections
import copy
import glob
import json
import random
import shutil
import subprocess
import sys

import jsonschema

PROGRAM, FOLDER = sys.argv[1], sys.argv[2]
SEED = int(sys.argv[3]) if len(sys.argv) > 3 else 7
CHANGES = {"case": 520, "profile": 130}
rng = random.Random(SEED)

# Keys whose value a rule binds to other keys: a number or a distribution there may be refused though the schema allows it.
BOUND = {"skirt_height_mm", "frame_height_mm", "ring_height_mm", "implant_depth_mm", "ostium_height", "stj_height", "dof",
         "between_reader_sd_mm", "repeat_sd_mm", "sd_from_readings", "sd_includes_plane", "leaflet_mount",
         "mount_offset_mm", "post_azimuth_deg", "post_block_deg", "shape", "azimuths_deg", "tilt_sd_deg", "level_sd_mm",
         "radius_mm", "point_sd_mm", "cuff_wave_mm", "placements", "lacerate", "rescue", "name", "source", "modality",
         "looks", "patient_axes"}
FAMILIES = {"constant", "normal", "uniform", "triangular", "lognormal", "half_normal", "student_t", "arcsine",
            "truncated_normal", "beta"}
NAMED = {"coronaries", "readings_mm", "lacerate", "rescue", "ostia_mm"}  # objects whose keys are names

PROFILE = {
    "format": "slimmargin-profile-1", "site": "north", "source": "invented",
    "readers": {"ostium_gap": {"between_reader_sd_mm": 0.5, "repeat_sd_mm": 0.3, "dof": 21, "source": "invented",
                               "cross_check": {"modality": "echo", "reader_sd_mm": 1.5}},
                "stj_height": {"between_reader_sd_mm": 0.8, "repeat_sd_mm": 0.4, "resolution_mm": 0.1},
                "inner_diameter": {"repeat_sd_mm": 0.4, "bloom_edges": -1}},
    "scan": {"kernel": {"value": "sharp"}, "centreline_sd_mm": {"value": 0.3, "source": "invented"},
             "blooming_mm": {"value": {"triangular": {"min": 0.2, "mode": 0.4, "max": 0.6}}},
             "base_plane": {"point_sd_mm": {"value": 0.6}, "cuff_wave_mm": {"value": 0.4}}},
    "surgical_valve": {"ring_height_mm": {"value": 2.2}, "eccentricity": {"value": 0.05}},
    "implant": {"canting_sd_deg": {"value": 1.5}, "flare": {"value": {"uniform": {"min": 0.1, "max": 0.9}}}},
    "limits": {"ostium_clearance_mm": {"value": 4.0}, "basis": {"value": "tube"}},
    "action_line": {"value": 0.15, "source": "invented"},
}


# ---------------------------------------------------------------- places in a document

def walk(node, path=()):
    yield path, node
    items = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, child in items:
        yield from walk(child, path + (key,))


def at(document, path):
    for key in path:
        document = document[key]
    return document


def bound(path):
    """Whether a rule across fields reaches this place."""
    return any(key in BOUND or key in FAMILIES for key in path)


def objects(document, named=False):
    return [p for p, n in walk(document) if isinstance(n, dict) and (named or not (p and p[-1] in NAMED))]


def leaves(document):
    return [p for p, n in walk(document) if not isinstance(n, (dict, list)) and p != ("profile",)]


# ---------------------------------------------------------------- changes: each returns (what was done, touches a rule) or None

def drop(document):
    place = rng.choice(objects(document, named=True))
    keys = list(at(document, place))
    if not keys:
        return None
    key = rng.choice(keys)
    del at(document, place)[key]
    return f"drop {place + (key,)}", bound(place + (key,)) or place[-1:] == ("coronaries",) or key == "surgical_valve"


def wrong_type(document):
    path = rng.choice([p for p, _ in walk(document) if p and p != ("profile",)])
    value = rng.choice(["3", "x", None, True, False, [], [1, 2], {}, {"a": 1}, 7])
    at(document, path[:-1])[path[-1]] = value
    return f"{path} = {json.dumps(value)}", bound(path) or value == 7 and path[-2:-1] == ("coronaries",)


def out_of_domain(document):
    path = rng.choice([p for p in leaves(document) if isinstance(at(document, p), (int, float))])
    value = rng.choice([-1000, -41, -6, -0.001, 0, 0.999, 1, 1.001, 5.5, 14.9, 30.5, 61, 400, 1e6])
    at(document, path[:-1])[path[-1]] = value
    return f"{path} = {value}", bound(path)


def unknown_key(document):
    place = rng.choice(objects(document))
    key = rng.choice(["zz", "extra", "mean", "value", "note", "sd", "readings_mm", "comment"])
    if key in at(document, place):
        return None
    at(document, place)[key] = rng.choice([1, "x", {}, None])
    return f"add {place + (key,)}", False


def wrong_case(document):
    place = rng.choice(objects(document))
    key = rng.choice(list(at(document, place)) or [""])
    other = rng.choice([key.upper(), key.capitalize(), key + " ", key.replace("_", "-")])
    if other == key or not key:
        return None
    at(document, place)[other] = at(document, place).pop(key)
    return f"rename {place + (key,)} to {other!r}", bound(place + (key,))


def new_name(document):
    """Another name for a reader or a coronary: allowed where it is a name."""
    places = [p for p, n in walk(document) if p and p[-1] in ("readings_mm", "coronaries") and n]
    if not places:
        return None
    place = rng.choice(places)
    key = rng.choice(list(at(document, place)))
    other = rng.choice(["Q-1", "reader two", "", "é", "a" * 33, "x" * 401, "Left_2"])
    at(document, place)[other] = at(document, place).pop(key)
    return f"name {place + (key,)} {other[:10]!r}", place[-1] == "coronaries" and "alternatives" in document


def family(document):
    """Damage to a distribution: another family, an extra or a missing parameter, two families, none."""
    places = [p for p, n in walk(document) if isinstance(n, dict) and len(n) == 1 and set(n) <= FAMILIES]
    if not places:
        return None
    place = rng.choice(places)
    node = at(document, place)
    name = next(iter(node))
    kind = rng.choice(["unknown", "extra", "missing", "two", "none", "list", "same"])
    if kind == "unknown":
        node[rng.choice(["gauss", "Normal", "triangle", "poisson"])] = node.pop(name)
    elif kind == "extra":
        node[name]["shift"] = 0
    elif kind == "missing":
        node[name].pop(rng.choice(list(node[name])))
    elif kind == "two":
        node["constant" if name != "constant" else "normal"] = {"value": 1}
    elif kind == "none":
        node.clear()
    elif kind == "list":
        node[name] = list(node[name].values())
    return f"{kind} family at {place}", False


def length(document):
    """Lists and objects that are too short or too long."""
    places = [p for p, n in walk(document) if isinstance(n, list)]
    if not places:
        return None
    place = rng.choice(places)
    node = at(document, place)
    n = rng.choice([0, 1, 2, 4, 33, 51])
    filling = [copy.deepcopy(node[0])] * max(n - len(node), 0) if node else []
    node[:] = (node + filling)[:n]
    return f"{place} of {n}", place[-1] in ("azimuths_deg", "shape", "alternatives") or bound(place)


def text(document):
    path = rng.choice([p for p in leaves(document) if isinstance(at(document, p), str)])
    value = rng.choice(["", "x", "a b", "x" * 64, "x" * 65, "é" * 400, "é" * 401, "soft", "echo", "balloon", "tube", "unknown"])
    at(document, path[:-1])[path[-1]] = value
    return f"{path} = {value[:10]!r}", bound(path)


def harmless(document):
    """A number moved a little, at a place that no rule binds: both must take it."""
    path = rng.choice([p for p in leaves(document) if type(at(document, p)) in (int, float) and not bound(p)] or [()])
    if not path:
        return None
    at(document, path[:-1])[path[-1]] = at(document, path) * 1.001
    return f"{path} * 1.001", False


KINDS = (drop, wrong_type, out_of_domain, unknown_key, wrong_case, new_name, family, length, text, harmless)


# ---------------------------------------------------------------- verdicts

def check(document, name):
    path = f"{FOLDER}/{name}.json"
    with open(path, "w", encoding="utf-8") as f:
        json.dump(document, f, ensure_ascii=False)
    case = path
    if name == "profile":
        case = f"{FOLDER}/of_profile.json"
    done = subprocess.run([PROGRAM, "check", case], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    if done.returncode not in (0, 2):
        sys.exit(f"check ended with status {done.returncode}: {done.stdout}")
    return done.returncode == 0, done.stdout


def schema(name):
    with open(f"docs/schema/{name}.schema.json", encoding="utf-8") as f:
        loaded = json.load(f)
    jsonschema.Draft202012Validator.check_schema(loaded)
    return jsonschema.Draft202012Validator(loaded)


def run(name, bases, tally):
    validator, wrong, done = schema(name), [], 0
    for base in bases:
        valid, said = check(base, name)
        if not valid or not validator.is_valid(base):
            wrong.append(f"the base itself is refused: {said}")
    while done < CHANGES[name]:
        kind, document = rng.choice(KINDS), copy.deepcopy(rng.choice(bases))
        change = kind(document)
        if not change:
            continue
        what, crosses = change
        allowed, (taken, said) = validator.is_valid(document), check(document, name)
        if crosses and allowed:
            tally[name, kind.__name__, "bound by a rule across fields"] += 1
            continue
        done += 1
        tally[name, kind.__name__, "allowed" if allowed else "refused"] += 1
        if allowed != taken:
            wrong.append(f"{name}: {what}: the schema {'allows' if allowed else 'refuses'} it\n{said}")
    return wrong


def with_looks(base):
    """Every kind of second look, beside readings and beside distributions."""
    case = copy.deepcopy(base)
    case["case"] = "looked-at"
    direct = {"modality": "bench", "readings_mm": {"A": [21.6]}, "reader_sd_mm": 0.4}
    case["surgical_valve"]["inner_diameter_mm"] = {"normal": {"mean": 22.0, "sd": 0.4}, "cross_check": direct}
    case["surgical_valve"]["leaflet_thickness_mm"] = {"readings_mm": {"A": [0.9]}, "cross_check": {
        "modality": "echo", "readings_mm": {"A": [0.8]}, "reader_sd_mm": 0.2, "spoiled": 0.1}}
    for name, side in case["coronaries"].items():
        side["ostium_gap"] = {"uniform": {"min": 4.0, "max": 6.0}, "cross_check": {
            "modality": "fluoroscopy", "readings_mm": {"A": [5.2]}, "spoiled": 0.02}}
        side.pop("leaflet_length_mm", None)
        side["leaflet_height"] = {"readings_mm": {"A": [14.6], "B": [15.0]}, "cross_check": {
            "modality": "ct", "readings_mm": {"C": [14.2, 14.3]}, "reader_sd_mm": 0.8}}
        if name == list(case["coronaries"])[1]:
            break
    return case


def with_a_closed_sinus(base):
    """A third side from which no coronary leaves, and one that says that it has an ostium."""
    case = copy.deepcopy(base)
    case["case"] = "third"
    next(iter(case["coronaries"].values()))["ostium"] = True
    case["coronaries"]["third"] = {"azimuth_deg": 280, "circle_mm": 22.4, "ostium": False, "stj_height": 18.4,
                                   "stj_gap": {"readings_mm": {"A": [2.2, 2.4]}}, "leaflet_height": 14.8}
    return case


def main():
    bases = []
    for path in sorted(glob.glob("scenarios/*.json")):
        document = json.load(open(path, encoding="utf-8"))
        if document["format"] == "slimmargin-case-1":
            bases.append(document)
    bases.append(with_looks(bases[0]))
    bases += [with_a_closed_sinus(bases[0])] * 3
    shutil.copy("scenarios/site.json", FOLDER)
    owner = copy.deepcopy(next(b for b in bases if "profile" not in b and "alternatives" not in b))
    with open(f"{FOLDER}/of_profile.json", "w", encoding="utf-8") as f:
        json.dump(dict(owner, profile="profile.json"), f)
    tally = collections.Counter()
    wrong = run("case", bases, tally) + run("profile", [PROFILE], tally)
    for (name, kind, verdict), n in sorted(tally.items()):
        print(f"{name:8} {kind:14} {verdict:30} {n:4}")
    for line in wrong:
        print("DISAGREE:", line)
    return 1 if wrong else 0


sys.exit(main())
