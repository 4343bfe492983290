/* SPDX-License-Identifier: MIT */
/* Invariant: what was read by tcgetattr first is what is written back last, however the program
 * ends or is stopped, and whichever thread ends it; nothing is drawn after that. Handlers do
 * nothing but note a number or, where the program can't go on, call what POSIX lists as safe there:
 * nanosleep, raise, signal, tcflow, tcflush, tcsetattr, write. */
#include "terminal.h"

#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

static struct termios original;
/* Lock-free, so that handlers may use them, on whichever thread they run. */
static atomic_int changed, caught;
static atomic_int stopped; /* and went on again: the shell has set the modes meanwhile */
static atomic_int went_on; /* the same, for the screen */
static _Atomic(const char *) screen_undo; /* bytes that give the screen back, or NULL */
static atomic_int at_work;                /* threads that write to the terminal or set its modes */
static atomic_bool barred;

/* A terminal that has gone, or is no one's to control, counts as ours: reading it does no harm. */
static bool in_foreground(void)
{
    pid_t group = tcgetpgrp(STDIN_FILENO);
    return group < 0 || group == getpgrp();
}

/* ---- who may touch the terminal -------------------------------------------------------------- */

bool terminal_touch_begin(void)
{
    atomic_fetch_add(&at_work, 1);
    if (!barred)
        return true;
    atomic_fetch_sub(&at_work, 1);
    return false;
}

void terminal_touch_end(void)
{
    atomic_fetch_sub(&at_work, 1);
}

/* For handlers: nobody touches it any more. What is at work comes first; what a terminal does not
 * take is lost. */
static void bar(void)
{
    enum { LOOKS = 100 };
    const struct timespec look = {.tv_nsec = 2000000};
    barred = true;
    for (int i = 0; at_work && i < LOOKS; i++)
        nanosleep(&look, NULL);
    if (at_work && in_foreground()) {
        tcflow(STDOUT_FILENO, TCOON);
        tcflush(STDOUT_FILENO, TCOFLUSH);
    }
}

/* ---- modes ----------------------------------------------------------------------------------- */

void terminal_restore(void)
{
    /* Not from the background: that would stop us, and the modes are someone else's by then. */
    if (changed && in_foreground())
        tcsetattr(STDIN_FILENO, TCSANOW, &original);
    changed = 0;
}

static bool set_modes(void)
{
    struct termios keys = original;
    keys.c_lflag &= (tcflag_t) ~(ICANON | ECHO);
    keys.c_cc[VMIN] = 0;
    keys.c_cc[VTIME] = 0;
    keys.c_cc[VSUSP] = _POSIX_VDISABLE; /* a stopped process would leave its sound hanging */
    return tcsetattr(STDIN_FILENO, TCSANOW, &keys) == 0;
}

bool terminal_begin(void)
{
    static bool known;
    struct termios now;
    if (!isatty(STDIN_FILENO))
        return false;
    if (!in_foreground())
        return true; /* keys come once it is */
    if (tcgetattr(STDIN_FILENO, &now) != 0)
        return false;
    /* After a stop a shell may have put back the modes that we had set. */
    if (!known || (now.c_lflag & ICANON))
        original = now;
    if (!known)
        atexit(terminal_restore);
    known = true;
    if (!terminal_touch_begin())
        return false;
    changed = 1; /* before it is true: a signal may come in between */
    if (!set_modes())
        changed = 0;
    terminal_touch_end();
    return changed;
}

bool terminal_has_keys(void)
{
    if (!in_foreground()) {
        changed = 0;
        return false;
    }
    if (stopped) {
        stopped = 0;
        changed = 0;
    }
    if (!isatty(STDIN_FILENO))
        return true; /* it has gone, which reading it will tell */
    return changed || (terminal_begin() && changed);
}

/* ---- signals --------------------------------------------------------------------------------- */

static void note_signal(int number)
{
    caught = number;
}

static void note_stop(int number)
{
    (void)number;
    stopped = went_on = 1;
}

void terminal_take_screen(const char *undo)
{
    screen_undo = undo;
}

bool terminal_was_stopped(void)
{
    return atomic_exchange(&went_on, 0);
}

/* For handlers: the screen back, too. */
static void restore_all(void)
{
    bar();
    const char *undo = screen_undo;
    ssize_t written = undo && in_foreground() ? write(STDOUT_FILENO, undo, strlen(undo)) : 0;
    (void)written; /* there is nobody to tell */
    terminal_restore();
}

/* The program can't go on: the terminal back, then the end that the signal means. */
static void die(int number)
{
    restore_all();
    signal(number, SIG_DFL);
    raise(number);
}

/* Stopped from outside: the terminal is the shell's until SIGCONT. */
static void stop(int number)
{
    (void)number;
    restore_all();
    raise(SIGSTOP);
    barred = false;
}

/* What was ignored (nohup) or handled (a sanitizer) before stays so. */
static void handle(const int *numbers, size_t count, void (*handler)(int), int flags)
{
    struct sigaction action, before;
    memset(&action, 0, sizeof action);
    action.sa_handler = handler;
    action.sa_flags = flags;
    sigemptyset(&action.sa_mask);
    for (size_t i = 0; i < count; i++)
        if (sigaction(numbers[i], NULL, &before) == 0 && before.sa_handler == SIG_DFL)
            sigaction(numbers[i], &action, NULL);
}

void terminal_catch_signals(void)
{
    static const int ends[] = {SIGINT, SIGTERM, SIGHUP};
    static const int crashes[] = {SIGQUIT, SIGABRT, SIGBUS, SIGFPE, SIGILL, SIGSEGV};
    static const int stops[] = {SIGTSTP}, goes_on[] = {SIGCONT};
    handle(ends, sizeof ends / sizeof ends[0], note_signal, 0);
    handle(crashes, sizeof crashes / sizeof crashes[0], die, 0);
    handle(stops, 1, stop, SA_RESTART); /* it goes on as if nothing had been */
    handle(goes_on, 1, note_stop, SA_RESTART);
}

int terminal_signal(void)
{
    return caught;
}

void terminal_die(int number)
{
    terminal_restore();
    fflush(NULL);
    signal(number, SIG_DFL);
    raise(number);
}
