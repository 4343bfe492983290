/* SPDX-License-Identifier: MIT */
/*
 * screen: a grid on the terminal of stdout, by ncursesw: begin, draw what differs, follow its size,
 * and leave everything as it was. It takes no keys; terminal does that, on stdin.
 *
 * One screen a process; main thread only. Nothing here waits for the terminal. However the process
 * ends or is stopped, terminal puts the screen back too (terminal_take_screen). Where ncursesw was
 * not there when the program was built, screen_begin says so and everything else does nothing.
 */
#ifndef HOLDFAST_CLI_SCREEN_H
#define HOLDFAST_CLI_SCREEN_H

#include <stdbool.h>

#include "theme.h"

/* True where the program was built with a screen. */
bool screen_built(void);

/* Takes the terminal over, its other screen where it has one. False where that can't be; `*why`
 * then says why in a few words. The theme becomes mono where there are no colours, or NO_COLOR is
 * set. */
bool screen_begin(enum theme theme, const char **why);

/* Gives it back as it was. May be called twice, and without a screen. */
void screen_end(void);

/* The size now; false where nothing should be drawn now: in the background, or while what was drawn
 * last is still on its way. `*ascii`: it knows no other characters. */
bool screen_ready(int *rows, int *cols, bool *ascii);

/* Draws what differs from what is there. */
void screen_draw(const struct grid *grid);

#endif
