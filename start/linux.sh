#!/bin/bash
# Starts bodytest from an unpacked copy: looks for a Python that is new enough and hands over to start.py.
# mac.command says WHERE to get one there; a window that was opened for this stays open after a failure.
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
where=${WHERE:-"On Debian or Ubuntu type in a terminal: sudo apt install python3 python3-venv
On others install the package python3 of your distribution, or take one from https://www.python.org/downloads/"}

ended() {
    if [ "$1" -ne 0 ] && [ -t 0 ]; then read -r -p "Press Enter to close this window. "; fi
    exit "$1"
}

older=""
for name in python3.14 python3.13 python3.12 python3.11 python3 python; do
    found=$(command -v "$name") || continue
    # A Mac without the developer tools has a python3 that only asks whether to install them.
    if [ "$found" = /usr/bin/python3 ] && [ "$(uname)" = Darwin ] && ! xcode-select -p >/dev/null 2>&1; then continue; fi
    if "$found" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then
        "$found" "$here/start.py" "$@"
        ended $?
    fi
    older=${older:-$("$found" -c 'import sys; print("%d.%d" % sys.version_info[:2])' 2>/dev/null)}
done
if [ -n "$older" ]; then
    echo "bodytest needs Python 3.11 or later; the one on this computer is $older."
else
    echo "bodytest needs Python 3.11 or later; there is none on this computer."
fi
echo "$where"
echo "Then start again."
ended 1
