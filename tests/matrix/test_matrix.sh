#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The part of the matrix of builds that fits in a check; tests/matrix/matrix.sh all does the rest.
exec bash "$(dirname "$0")/matrix.sh"
