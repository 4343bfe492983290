/* SPDX-License-Identifier: MIT */
/*
 * keyed: holdfast that takes any input for a terminal, so that keys can be sent to it through a
 * pipe. For systems in which no pseudo-terminal can be had (a bare root without /dev/pts); the
 * Makefile links it from the program's own objects, with --wrap for these three calls.
 */
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
