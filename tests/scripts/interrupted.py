"""interrupted.py PROGRAM WORK - signals and failures of the disc while a command writes, at every call and at random moments.

Every run starts in a fresh copy of a folder in which the outputs are missing, or old. Afterwards all of them are as they were,
or all are new; nothing else is there; and the exit status is 0, 130, that of the signal, or 3 for a failure.
SPDX-License-Identifier: GPL-3.0-or-later"""
import errno, json, os, random, re, shutil, signal, stat, subprocess, sys, time

program, work = os.path.abspath(sys.argv[1]), sys.argv[2]
thorough = bool(os.environ.get("SM_LONG"))
ASKS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
faults = []


def fault(*words):
    faults.append(words)
    print("FAILED:", *words)


# 1. Folders, commands

def state(folder):
    """Path below the folder -> what stands there."""
    found = {}
    for top, folders, files in os.walk(folder):
        for name in folders + files:
            path = os.path.join(top, name)
            mode = os.lstat(path).st_mode
            content = os.readlink(path) if stat.S_ISLNK(mode) else b"" if stat.S_ISDIR(mode) else open(path, "rb").read()
            found[os.path.relpath(path, folder)] = (stat.S_IFMT(mode), mode & 0o777, content)
    return found


def run(folder, words, at=None, **asked):
    """The command in the folder; `asked` goes to the library (SM_...). Status and standard error."""
    env = dict(os.environ, LD_PRELOAD=work + "/calls.so", **{"SM_" + key.upper(): str(value) for key, value in asked.items()})
    if at:
        env["SM_AT"] = str(at)
    done = subprocess.run([program] + words, cwd=folder, env=env, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                          stderr=subprocess.PIPE, encoding="utf-8", timeout=60, preexec_fn=default_signals)
    return done.returncode, done.stderr


def default_signals():
    for s in ASKS:
        signal.signal(s, signal.SIG_DFL)


class Start:
    """A command and the folder that it starts in: with nothing of its outputs there, or with old ones."""

    def __init__(self, name, words, before=None):
        self.name, self.words = name, words
        self.folder = os.path.join(work, "start-" + name)
        shutil.copytree(os.path.join(work, "inputs"), self.folder)
        if before:
            before(self.folder)
        self.old = state(self.folder)
        there, log = self.fresh(), os.path.join(work, "log")
        status, err = run(there, words, log=log)
        if status != 0:
            fault(name, "plain run", status, err)
        self.calls = open(log).read().split()
        self.new = state(there)
        if self.old == self.new:
            fault(name, "nothing is new: the test would see nothing")

    def fresh(self):
        there = os.path.join(work, "run")
        shutil.rmtree(there, ignore_errors=True)
        shutil.copytree(self.folder, there, symlinks=True)
        return there


def table(folder):
    text = open("docs/new.md", encoding="utf-8").read()
    with open(os.path.join(folder, "table.csv"), "w", encoding="utf-8") as f:
        f.write(re.search(r"```csv\n(.*?)```", text, re.S).group(1))
    with open(os.path.join(folder, "points.csv"), "w", encoding="utf-8") as f:
        f.write(re.search(r"```points\n(.*?)```", text, re.S).group(1))


os.mkdir(work + "/inputs")
for path in ("scenarios/demo.json", "scenarios/site.json", "scenarios/readers/study.csv"):
    shutil.copy(path, work + "/inputs")
table(work + "/inputs")
FEW = ["--trials", "1000", "--threads", "1"]
SWEEP = ["sweep", "demo.json", "--vary", "blooming=0.2:0.8:3", "--json", "j", "--csv", "c", "-o", "o"]
LEARN = ["learn", "study.csv", "--plane", "fixed", "--quiet", "--profile", "p", "--json", "j"]
ASSESS = ["assess", "demo.json", "--json", "j", "--quiet"]
REPORT = ["report", "demo.json", "-o", "o", "--json", "j", "--figures", "f"]
LONG = "n" * 250


def with_old(*commands):
    def before(folder):
        for words in commands:
            subprocess.run([program] + words, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)
    return before


def with_links(folder):
    with_old(ASSESS + FEW + ["--seed", "2"])(folder)
    os.rename(folder + "/j", folder + "/kept")
    os.symlink("kept", folder + "/j")
    os.symlink("not-yet", folder + "/dangling")


def with_a_folder(folder):
    os.mkdir(folder + "/cases")
    open(folder + "/cases/other.txt", "w").close()


links = Start("links", SWEEP[:-4] + FEW + ["--csv", "dangling", "-o", LONG], with_links)
walked = [
    Start("sweep", SWEEP + FEW + ["--figures", "f/g"]),
    Start("sweep-over-old", SWEEP + FEW + ["--figures", "f"], with_old(SWEEP + FEW + ["--figures", "f", "--seed", "2"])),
    Start("learn", LEARN),
    Start("learn-over-old", LEARN, with_old([w.replace("fixed", "replaced") for w in LEARN], ASSESS + FEW)),
    Start("cases", ["new", "--from-csv", "table.csv", "cases"]),
    Start("cases-in-folder", ["new", "--from-csv", "table.csv", "cases"], with_a_folder),
    Start("form", ["new", "--template", LONG]),
    Start("points", ["new", LONG, "--from-points", "points.csv", "--circle", "22.4"]),
    links,
]
if thorough:  # its many figures; half a second a run
    walked.append(Start("report-walked", REPORT + ["--trials", "2000", "--threads", "1"]))
for name, there in (("j", "kept"), ("dangling", "not-yet")):
    if not stat.S_ISLNK(links.new[name][0]) or not stat.S_ISREG(links.new[there][0]):
        fault("links", name, "is no longer a link, or leads nowhere")


# 2. What is found afterwards

def whole_part(start, now):
    """After status 130: each output that was asked for is new and complete in itself, and the result says that it is not all."""
    asked = {start.words[i + 1] for i, w in enumerate(start.words[:-1]) if w in ("--json", "--csv", "-o", "--profile")}
    wrong = [name for name in asked if now.get(name) == start.old.get(name)]
    if "j" in now and json.loads(now["j"][2])["complete"] is not False:
        wrong.append("j says complete")
    for name in now:
        if name.endswith(".svg"):
            data = name[:-4] + ".csv"
            if not now[name][2].rstrip().endswith(b"</svg>") or (now[name] == start.old.get(name)) and (now.get(data) != start.old.get(data)):
                wrong.append(name)
    return wrong + [name for name in set(now) - set(start.new) - set(start.old)]


def look(start, there, where, status, err, allowed):
    """Old or new, as the status says. True if the commit had been reached."""
    now = state(there)
    left = [name for name in now if ".slimmargin" in name and name not in err]
    if left:
        fault(start.name, where, "left behind:", *left, err)
    for name in [name for name in now if ".slimmargin" in name]:
        del now[name]  # it could not be removed, and was reported
    if status not in allowed:
        fault(start.name, where, "status", status, err)
    elif status == 130:
        wrong = whole_part(start, now)
        if wrong:
            fault(start.name, where, "interrupted, and", *wrong)
    elif now not in (start.old, start.new) and (status >= 0 or whole_part(start, now)):
        # a second signal may end the program after what the first one left is whole and in place
        wrong = [name for name in set(now) | set(start.new) if now.get(name) != start.new.get(name)]
        fault(start.name, where, "status", status, "half: not new are", *wrong, err)
    elif status == 0 and now != start.new:
        fault(start.name, where, "status 0, and nothing is new")
    elif status in (1, 2, 3) and now != start.old:
        fault(start.name, where, "status", status, "and all is new")
    return now == start.new


# 3. The walks

CHANGES = ("mkstemp", "mkdir", "link", "rename", "unlink", "rmdir", "pthread_sigmask")
CAN_FAIL = ("open", "mkstemp", "mkdir", "fchmod", "write", "fsync", "close", "link", "rename", "unlink", "opendir")


def moments(start, k):
    """Before the call and, of a change, after it. Between two calls once is enough: at both ends only where all is walked."""
    asked = k > 1 and start.calls[k - 2] in CHANGES and not thorough
    return ([] if asked else ["before"]) + (["after"] if start.calls[k - 1] in CHANGES else [])


def walk_signals(start):
    seen = set()
    for k, call in enumerate(start.calls, 1):
        for s in ASKS if thorough and start.words[0] != "report" else (ASKS[k % 3],):
            for when in moments(start, k):
                there = start.fresh()
                status, err = run(there, start.words, at=k, **{when: int(s)})
                new = look(start, there, f"{s.name} {when} call {k}, {call}", status, err, (0, 130, -s))
                seen.add((status, new))
    return seen


def walk_failures(start, calls=CAN_FAIL, **more):
    seen = set()
    for k, call in enumerate(start.calls, 1):
        if call not in calls:
            continue
        there = start.fresh()
        error = errno.ENOSPC if call in ("write", "mkstemp", "mkdir") else errno.EIO
        status, err = run(there, start.words, at=k, error=error, **more)
        new = look(start, there, f"call {k}, {call}, fails", status, err, (0, 1, 2, 3))
        if status and not err and "write" != call:
            fault(start.name, f"call {k}, {call}: it fails in silence")
        seen.add((status, new))
    return seen


def walk_hitches(start):
    """A call that was broken off by a signal is made again; one that wrote only part goes on."""
    for k, call in enumerate(start.calls, 1):
        hitches = [{"error": errno.EINTR}] if call in ("open", "read", "write", "fsync", "fchmod", "close") else []
        for asked in hitches + ([{"short": 1}] if call == "write" else []):
            there = start.fresh()
            status, err = run(there, start.words, at=k, **asked)
            look(start, there, f"call {k}, {call}, {asked}", status, err, (0,))


def check_walks():
    for start in walked:
        signalled, failed = walk_signals(start), walk_failures(start)
        listens = start.words[0] == "sweep"
        if not {(0, True)} <= signalled and listens or not any(s < 0 and not new for s, new in signalled):
            fault(start.name, "the walk did not meet both ends", signalled)
        if (3, False) not in failed:
            fault(start.name, "no failure was one to write", failed)
    for start in walked if thorough else walked[2:4]:  # they write as a sweep does, and compute nothing
        walk_hitches(start)
    for start in walked if thorough else (walked[1], links):
        walk_failures(start, ("rename",), links=0)


# 4. Random moments

def interrupt(start, after, signals):
    there = start.fresh()
    p = subprocess.Popen([program] + start.words, cwd=there, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                         stderr=subprocess.PIPE, encoding="utf-8", preexec_fn=default_signals)
    for s in signals:
        time.sleep(after)
        p.send_signal(s)
    _, err = p.communicate(timeout=60)
    where = f"{'+'.join(s.name for s in signals)} after {after:.4f} s"
    look(start, there, where, p.returncode, err, (0, 130) + tuple(-s for s in signals))
    return p.returncode


def check_random():
    chance = random.Random()
    seed = int(os.environ.get("SM_SEED") or chance.randrange(1 << 30))
    chance.seed(seed)
    print("random moments: SM_SEED", seed)
    starts = [Start("report", REPORT + ["--trials", "2000"]),
              Start("report-over-old", REPORT + ["--trials", "2000"], with_old(REPORT + FEW + ["--seed", "2"])),
              Start("assess", ASSESS + ["--trials", "300000"], with_old(ASSESS + FEW)), walked[1], walked[3], walked[4]]
    for start in starts:
        begun = time.monotonic()
        interrupt(start, 0, ())
        takes = time.monotonic() - begun
        for i in range(60 if thorough else 6):
            signals = [ASKS[i % 3]] + ([ASKS[i // 3 % 3]] if i % 2 else [])
            interrupt(start, 1.1 * takes * chance.random() / len(signals), signals)


# 5. Permissions

def check_protected():
    """A file of someone else, in a folder where all may write, could be replaced; it is not. As root: by a process that is not."""
    there = os.path.join(work, "protected")
    shutil.copytree(os.path.join(work, "inputs"), there)
    shutil.copy(program, there + "/program")
    with open(there + "/j", "w") as f:
        f.write("kept\n")
    other = []
    if os.getuid() == 0:
        other = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"] if shutil.which("setpriv") else None
        os.chmod(work, 0o755)
        os.chmod(there, 0o777)
        os.chmod(there + "/j", 0o644)
    else:
        os.chmod(there + "/j", 0o444)
    for words in (ASSESS, LEARN) if other is not None else ():
        kept = state(there)
        done = subprocess.run(other + ["./program"] + words, cwd=there, stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8")
        if done.returncode != 3 or "protected against writing" not in done.stderr or state(there) != kept:
            fault("a file without permission:", *words, done.returncode, done.stderr)
    if other is None:
        print("not tested: a file of someone else (there is no setpriv)")


check_walks()
check_random()
check_protected()
print(len(faults), "faults;", sum(len(s.calls) for s in walked), "calls walked")
sys.exit(1 if faults else 0)
