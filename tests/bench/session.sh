#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# What a session costs to make.
set -eu
build=${BUILD:-build}
exec "$build/tests/bench/session" "$build/holdfast"
