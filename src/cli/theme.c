/* SPDX-License-Identifier: MIT */
/* Invariant: every foreground has at least 4.5:1 on its ground, by the values that xterm gives the
 * numbers; tests/test_theme.c computes all of them. */
#include "theme.h"

#include <stddef.h>
#include <string.h>

/* Of the 256, numbers from 16 on are a cube of six levels and a ramp of greys, the same everywhere;
 * the first 16 are the player's own. */
static const struct theme_colours dark = {
    .ground = 16,
    .of = {[GRID_TEXT] = 252,
           [GRID_NOTES] = 229,
           [GRID_WORD] = 117,
           [GRID_HELD] = 215,
           [GRID_QUIET] = 246,
           [GRID_TIME] = 110,
           [GRID_RIGHT] = 120,
           [GRID_WRONG] = 210},
    .bold = {[GRID_NOTES] = true},
};

static const struct theme_colours light = {
    .ground = 231,
    .of = {[GRID_TEXT] = 235,
           [GRID_NOTES] = 16,
           [GRID_WORD] = 25,
           [GRID_HELD] = 94,
           [GRID_QUIET] = 241,
           [GRID_TIME] = 60,
           [GRID_RIGHT] = 22,
           [GRID_WRONG] = 124},
    .bold = {[GRID_NOTES] = true},
};

static const struct theme_colours dark_of_eight = {
    .ground = 0,
    .of = {[GRID_TEXT] = 7,
           [GRID_NOTES] = 7,
           [GRID_WORD] = 6,
           [GRID_HELD] = 3,
           [GRID_QUIET] = 7,
           [GRID_TIME] = 6,
           [GRID_RIGHT] = 2,
           [GRID_WRONG] = 3},
};

static const struct theme_colours light_of_eight = {
    .ground = 7,
    .of = {[GRID_TEXT] = 0,
           [GRID_NOTES] = 0,
           [GRID_WORD] = 4,
           [GRID_HELD] = 1,
           [GRID_QUIET] = 0,
           [GRID_TIME] = 4,
           [GRID_RIGHT] = 0,
           [GRID_WRONG] = 1},
};

static const struct theme_colours mono = {
    .own = true,
    .bold = {[GRID_NOTES] = true, [GRID_WORD] = true},
};

const struct theme_colours *theme_colours(enum theme theme, int colours)
{
    if (theme == THEME_MONO || colours < 8)
        return &mono;
    if (theme == THEME_LIGHT)
        return colours >= 256 ? &light : &light_of_eight;
    return colours >= 256 ? &dark : &dark_of_eight;
}

bool theme_parse(const char *text, enum theme *out)
{
    static const char *const words[THEMES] = {"dark", "light", "mono"};
    for (int i = 0; i < THEMES; i++)
        if (strcmp(text, words[i]) == 0) {
            *out = (enum theme)i;
            return true;
        }
    return false;
}
