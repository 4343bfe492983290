#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# What the search for shapes costs.
set -eu
exec "${BUILD:-build}/tests/bench/hand"
