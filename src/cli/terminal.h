/* SPDX-License-Identifier: MIT */
/*
 * terminal: the terminal of the player in a mode that gives single keys, and back as it was; and
 * the signals that end a session. One terminal a process; main thread only, but for what says
 * otherwise.
 */
#ifndef HOLDFAST_CLI_TERMINAL_H
#define HOLDFAST_CLI_TERMINAL_H

#include <stdbool.h>

/* Takes single keys from stdin if it is a terminal; true then. Undone by terminal_restore, at exit,
 * and by signals that end or stop the process. In the background nothing is changed until the
 * process comes to the fore. */
bool terminal_begin(void);
void terminal_restore(void);

/* May keys be read now? Not in the background, where reading would stop the process. Takes single
 * keys again after the shell had the terminal. */
bool terminal_has_keys(void);

/* There is a screen: these bytes (which stay) undo it where a signal ends or stops the process;
 * NULL: there is none any more. */
void terminal_take_screen(const char *undo);

/* Around what is written to the terminal or sets its modes. False: not now, since the process is
 * being stopped or ended and the terminal given back; then there is nothing to end. Any thread. */
bool terminal_touch_begin(void);
void terminal_touch_end(void);

/* Has the process been stopped and gone on since the last call? */
bool terminal_was_stopped(void);

/* From now on SIGINT, SIGTERM and SIGHUP are noted instead of ending the process. */
void terminal_catch_signals(void);

/* The signal that came, or 0. */
int terminal_signal(void);

/* Ends the process by the signal, as it would have ended without us; what was printed comes first.
 */
void terminal_die(int signal_number);

#endif
