"""Drives a real Kate through what a composer does with a score. It is run by test.sh;
editors/common.sh tells the variables. Kate is read through the interface for assistive
technology, and used by menu, keys and mouse. Every wait is for a state; the limit
only ends a run in which it never comes."""
import os
import re
import subprocess
import sys
import time

import pyatspi
from gi.repository import Atspi

LIMIT = 60
demo = os.environ["FOURFOLD_DEMO"]
line, column = int(os.environ["FOURFOLD_LINE"]), int(os.environ["FOURFOLD_COLUMN"])
fix = os.environ["FOURFOLD_FIX"]
CHARACTERS = "[r:é ♯ 🎵]"


def units(text):
    """The UTF-16 units of a text, in which Kate counts columns."""
    return len(text.encode("utf-16-le")) // 2


def report(text):
    with open(os.environ["FOURFOLD_REPORT"], "a") as file:
        file.write(text + "\n")


def wait(condition, what):
    end = time.time() + LIMIT
    while time.time() < end:
        try:
            found = condition()
        except Exception:  # what was being read has gone from the screen
            found = None
        if found:
            return found
        time.sleep(0.05)
    raise AssertionError(what)


def check(condition, what):
    wait(condition, what)
    report("ok: " + what)


def all_of(node, menus=False):
    """Every accessible part below a node; the menus, which are many, only when asked for."""
    yield node
    for i in range(node.childCount):
        try:
            child = node.getChildAtIndex(i)
            skip = child is None or child.getRoleName() == "menu bar" and not menus
        except Exception:  # it has just gone from the screen
            continue
        if not skip:
            yield from all_of(child, menus)


def kate():
    root = next((a for a in pyatspi.Registry.getDesktop(0) if a and a.name == "kate"), None)
    if root:
        root.set_cache_mask(Atspi.Cache.NONE)  # what has been read once may have changed
    return root


def find(role, pattern):
    """The first part of Kate with a role whose name holds a pattern."""
    root = kate()
    return root and next((n for n in all_of(root, role == "menu item") if n.getRoleName() == role and re.search(pattern, n.name or "")), None)


def press(role, pattern):
    part = wait(lambda: find(role, pattern), f"{role} {pattern}")
    part.queryAction().doAction(0)


def keys(*names):
    subprocess.run(["xdotool", "key", "--clearmodifiers", *names], check=True)


def paste(text):
    subprocess.run(["xclip", "-selection", "clipboard"], input=text.encode(), check=True)
    keys("ctrl+v")


def double_click(part):
    box = part.queryComponent().getExtents(pyatspi.DESKTOP_COORDS)
    subprocess.run(["xdotool", "mousemove", str(box.x + 60), str(box.y + box.height // 2), "click", "--repeat", "2", "--delay", "60", "1"], check=True)


def cursor():
    """Line and column in the status bar, from 1."""
    found = find("push button", r"^\d+:\d+$")
    return tuple(map(int, found.name.split(":"))) if found else None


def go_to(number):
    focus()
    keys("ctrl+g")
    time.sleep(0.5)
    subprocess.run(["xdotool", "type", str(number)], check=True)
    keys("Return")
    wait(lambda: cursor()[0] == number, f"line {number}")
    keys("Home")


def focus():
    """Gives the keys to the text."""
    wait(lambda: find("text", r"\.abc"), "the text").queryComponent().grabFocus()


def turn():
    """The row of the first figure that turns back in the right hand."""
    return find("table cell", r"hands/turn.*right hand")


def at_finding(wanted, what):
    """Goes to the finding by a double click on its row and looks where the cursor is."""
    def there():
        double_click(turn())
        time.sleep(0.3)
        return cursor() == (line, wanted)
    check(there, what)


def saved():
    with open(demo, encoding="utf-8") as file:
        return file.read()


def story():
    opened = time.time()
    process = subprocess.Popen(["kate", os.path.basename(demo)], stderr=subprocess.DEVNULL)
    try:
        # Kate asks once for each server whether it may be started.
        wait(lambda: find("alert", "server start"), "Kate asks whether it may start the server")
        answered = time.time()
        press("push button", "^Yes$")
        press("menu item", "Switch to Diagnostics Tab")
        check(turn, "a figure that turns back is in the list of diagnostics")
        report(f"first finding: {1000 * (time.time() - opened):.0f} ms from Kate's start, {1000 * (time.time() - answered):.0f} ms from the yes to its question")
        window = subprocess.run(["xdotool", "getactivewindow"], capture_output=True, text=True, check=True).stdout.strip()
        subprocess.run(["xdotool", "windowmove", window, "0", "0", "windowsize", window, "1270", "770"], check=True)
        wait(lambda: turn().getState().contains(pyatspi.STATE_SHOWING), "the list of diagnostics")
        time.sleep(1)
        at_finding(column, f"the finding is at line {line}, column {column}")

        # The same with characters of two, three and four bytes before the notes.
        start = saved()
        go_to(line)
        paste(CHARACTERS)
        text = start.split("\n")[line - 1]
        keys("End")
        check(lambda: cursor() == (line, units(CHARACTERS + text) + 1), "Kate counts UTF-16 units")
        at_finding(column + units(CHARACTERS), "the finding stands right after é ♯ 🎵")

        press("menu item", "Symbol Info")
        for word in ("hand", "finger", "Order", "Next", "holds up to"):
            check(lambda: any(word in shown(n) for n in all_of(kate())), f"the card says {word}")

        # The double click on the remark has also asked for its fixes.
        def offered():
            cell = find("table cell", r"^\[quickfix\] " + re.escape(fix))
            return cell if cell and cell.getState().contains(pyatspi.STATE_SHOWING) else None
        check(offered, "the fix is offered")
        time.sleep(0.5)
        picture("findings")
        double_click(offered())
        check(lambda: not turn(), "it is taken, and the finding goes")
        focus()
        keys("ctrl+s")
        check(lambda: saved() not in ("", start) and saved().split("\n")[line - 1].startswith(CHARACTERS), "the emoji stands where it stood")
        check(lambda: sorted(saved().split("\n")[line - 1]) == sorted(CHARACTERS + text), "the line has the same notes in another order")

        def undone():
            focus()
            keys("ctrl+z", "ctrl+s")
            time.sleep(0.5)
            return saved() == start
        check(undone, "undo takes all back")
        check(turn, "the finding comes back")
        keys("ctrl+q")
        process.wait(LIMIT)
        report("end")
    finally:
        if sys.exc_info()[0] is None or not os.environ.get("FOURFOLD_KEEP"):
            process.kill()


def shown(node):
    """What a part says: its text, else its name."""
    try:
        return node.queryText().getText(0, -1)
    except NotImplementedError:
        return node.name or ""


def picture(name):
    subprocess.run(["import", "-silent", "-window", "root", "-strip", "+dither", "-colors", "96",
                    f"PNG8:{os.environ['FOURFOLD_PICTURE_FOLDER']}/{name}.png"], check=True)


try:
    story()
except Exception as problem:
    report(f"FAILED: {problem!r}")
    if os.environ.get("FOURFOLD_KEEP"):
        subprocess.run(["import", "-silent", "-window", "root", os.environ["FOURFOLD_KEEP"]])
        with open(os.environ["FOURFOLD_KEEP"] + ".txt", "w") as out:
            for n in all_of(kate()) if kate() else []:
                out.write(f"{n.getRoleName()} | {shown(n)[:100]!r}\n")
    sys.exit(1)
