#!/bin/sh
# Print the first Python that can build the environment: 3.11 or later, with venv and pip's installer.
# Otherwise say on standard error what is missing and which Debian packages bring it.
set -u

found_old=""
found_bare=""
for name in python3 python3.14 python3.13 python3.12 python3.11; do
    path=$(command -v "$name" 2>/dev/null) || continue
    if ! "$path" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
        found_old="$found_old $name"
    elif ! "$path" -c 'import ensurepip, venv' 2>/dev/null; then
        found_bare="$found_bare $name"
    else
        if [ "$(uname -s)" = "Darwin" ]; then
            echo "Note: macOS is untested." >&2
        fi
        echo "$path"
        exit 0
    fi
done

{
    if [ -n "$found_bare" ]; then
        echo "Found$found_bare, but without its venv module, which Debian keeps in a package of its own."
    elif [ -n "$found_old" ]; then
        echo "Found$found_old, but older than Python 3.11."
    else
        echo "Found no python3."
    fi
    echo "temperbench needs Python 3.11 or later with venv, and make. On Debian 12 or later:"
    echo "    sudo apt-get install python3 python3-venv make"
} >&2
exit 1
