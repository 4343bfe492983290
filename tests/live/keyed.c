/* SPDX-License-Identifier: MIT */
/*
 * keyed: holdfast that takes any input for a terminal, so that keys can be sent to it through a
 * pipe. For systems in which no pseudo-terminal can be had (a bare root without /dev/pts); the
 * Makefile links it from the program's own objects, with --wrap for these three calls.
 */
#include "live/no_terminal.h"
