/* SPDX-License-Identifier: MIT */
/*
 * theme: the colours of the styles. Eight at most, on a ground that the theme sets itself, each at
 * least 4.5:1 against it (WCAG 2.2, 1.4.3; tests/test_theme.c computes it). Mono leaves the
 * terminal's own colours and tells styles apart by place, sign and word alone.
 *
 * Constants. Pure. Main thread only.
 */
#ifndef HOLDFAST_CLI_THEME_H
#define HOLDFAST_CLI_THEME_H

#include <stdbool.h>

#include "grid.h"

enum theme { THEME_DARK, THEME_LIGHT, THEME_MONO, THEMES };

struct theme_colours {
    bool own;   /* the terminal's own colours: nothing below holds but `bold` */
    int ground; /* numbers of the terminal's palette */
    int of[GRID_STYLES];
    bool bold[GRID_STYLES];
};

/* The colours for a terminal that has so many: of 256 those whose values are fixed, of fewer the
 * first eight; under eight it is mono. */
const struct theme_colours *theme_colours(enum theme theme, int colours);

/* Reads "dark", "light" or "mono"; false for anything else. */
bool theme_parse(const char *text, enum theme *out);

#endif
