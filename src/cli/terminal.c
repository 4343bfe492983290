/* SPDX-License-Identifier: MIT */
/* Invariant: what was read by tcgetattr first is what is written back last. The handler only notes
 * the number. */
#include "terminal.h"

#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

static struct termios original;
static bool changed;
static volatile sig_atomic_t caught;

void terminal_restore(void)
{
    if (changed)
        tcsetattr(STDIN_FILENO, TCSANOW, &original);
    changed = false;
}

bool terminal_begin(void)
{
    struct termios keys;
    if (!isatty(STDIN_FILENO) || tcgetattr(STDIN_FILENO, &original) != 0)
        return false;
    keys = original;
    keys.c_lflag &= (tcflag_t) ~(ICANON | ECHO);
    keys.c_cc[VMIN] = 0;
    keys.c_cc[VTIME] = 0;
    keys.c_cc[VSUSP] = _POSIX_VDISABLE; /* a stopped process would leave its sound hanging */
    if (tcsetattr(STDIN_FILENO, TCSANOW, &keys) != 0)
        return false;
    if (!changed)
        atexit(terminal_restore);
    changed = true;
    return true;
}

static void note_signal(int number)
{
    caught = number;
}

void terminal_catch_signals(void)
{
    static const int numbers[] = {SIGINT, SIGTERM, SIGHUP};
    struct sigaction action;
    memset(&action, 0, sizeof action);
    action.sa_handler = note_signal;
    sigemptyset(&action.sa_mask);
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        struct sigaction before;
        /* What was ignored by whoever started us (nohup) stays ignored. */
        if (sigaction(numbers[i], NULL, &before) == 0 && before.sa_handler != SIG_IGN)
            sigaction(numbers[i], &action, NULL);
    }
}

int terminal_signal(void)
{
    return caught;
}

void terminal_die(int number)
{
    terminal_restore();
    signal(number, SIG_DFL);
    raise(number);
}
