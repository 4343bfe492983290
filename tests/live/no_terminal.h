/* SPDX-License-Identifier: MIT */
/* no_terminal: takes any input for a terminal, and with HASTY_TERMINAL the output too. For one
 * program, linked with --wrap. */
#ifndef TESTS_LIVE_NO_TERMINAL_H
#define TESTS_LIVE_NO_TERMINAL_H

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

int __real_isatty(int descriptor);
int __wrap_isatty(int descriptor);
int __wrap_tcgetattr(int descriptor, struct termios *settings);
int __wrap_tcsetattr(int descriptor, int when, const struct termios *settings);

int __wrap_isatty(int descriptor)
{
    bool out = descriptor == STDOUT_FILENO && getenv("HASTY_TERMINAL");
    return descriptor == STDIN_FILENO || out ? 1 : __real_isatty(descriptor);
}

int __wrap_tcgetattr(int descriptor, struct termios *settings)
{
    (void)descriptor;
    memset(settings, 0, sizeof *settings);
    return 0;
}

int __wrap_tcsetattr(int descriptor, int when, const struct termios *settings)
{
    (void)descriptor, (void)when, (void)settings;
    return 0;
}

#endif
