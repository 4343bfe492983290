/* SPDX-License-Identifier: MIT */
/* no_terminal: takes any input for a terminal. For one program, linked with --wrap. */
#ifndef TESTS_LIVE_NO_TERMINAL_H
#define TESTS_LIVE_NO_TERMINAL_H

#include <string.h>
#include <termios.h>
#include <unistd.h>

int __real_isatty(int descriptor);
int __wrap_isatty(int descriptor);
int __wrap_tcgetattr(int descriptor, struct termios *settings);
int __wrap_tcsetattr(int descriptor, int when, const struct termios *settings);

int __wrap_isatty(int descriptor)
{
    return descriptor == STDIN_FILENO ? 1 : __real_isatty(descriptor);
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
