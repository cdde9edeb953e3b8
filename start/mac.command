#!/bin/bash
# Starts bodytest from an unpacked copy on a Mac; the work is done by linux.sh and start.py beside it.
for folder in /opt/homebrew/bin /usr/local/bin /Library/Frameworks/Python.framework/Versions/3.*/bin; do
    if [ -d "$folder" ]; then PATH=$PATH:$folder; fi
done
WHERE="Take it from https://www.python.org/downloads/macos/ and install it with a double-click."
source "$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)/linux.sh"
