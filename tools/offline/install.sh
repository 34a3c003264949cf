#!/bin/sh
# Install Curewright without a network: sh install.sh [FOLDER]
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
exec "${PYTHON:-python3}" "$here/install.py" "$@"
