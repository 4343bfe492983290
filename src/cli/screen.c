/* SPDX-License-Identifier: MIT */
/* Invariants: nothing is drawn that is there already; the session never waits for the terminal: all
 * that writes to it is done by a thread of its own, the only one that calls ncurses between begin
 * and end, and a grid that comes while it is at work is not taken; what restores the terminal from
 * a signal handler is made ready before the first character is drawn. */
#include "screen.h"

#ifdef HF_CURSES

#include <langinfo.h>
#include <locale.h>
#include <pthread.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#define NCURSES_WIDECHAR 1
#include <curses.h>
#include <term.h>

#include <holdfast/signals.h>

#include "terminal.h"

static SCREEN *screen;
static const struct theme_colours *colours;
static char undo[256];
static bool away; /* someone else has the terminal */
static struct grid shown;

static struct {
    pthread_t thread;
    pthread_mutex_t mutex; /* of what follows */
    pthread_cond_t changed;
    bool busy, anew, quit, over; /* `anew`: someone else had the terminal meanwhile */
    struct grid wanted;          /* the thread's while it is busy */
} work = {.mutex = PTHREAD_MUTEX_INITIALIZER, .changed = PTHREAD_COND_INITIALIZER};

bool screen_built(void)
{
    return true;
}

/* ---- the thread ------------------------------------------------------------------------------ */

static void put_cell(int row, int col, const struct grid_cell *cell)
{
    wchar_t text[2] = {(wchar_t)cell->code, 0};
    cchar_t character;
    attr_t attributes = colours->bold[cell->style] ? A_BOLD : A_NORMAL;
    short pair = colours->own ? 0 : (short)(cell->style + 1);
    if (setcchar(&character, text, attributes, pair, NULL) == OK)
        mvadd_wch(row, col, &character); /* the last cell of all says ERR, having been put */
}

static void draw(const struct grid *grid, bool anew)
{
    if (!terminal_touch_begin())
        return;
    bool whole = anew || shown.rows != grid->rows || shown.cols != grid->cols;
    if (anew)
        endwin(); /* the next refresh begins from nothing */
    if (grid->rows != LINES || grid->cols != COLS)
        resizeterm(grid->rows, grid->cols);
    if (whole) {
        erase();
        clearok(curscr, TRUE);
    }
    for (int i = 0; i < grid->rows * grid->cols; i++) {
        const struct grid_cell *cell = &grid->cells[i];
        if (!whole && cell->code == shown.cells[i].code && cell->style == shown.cells[i].style)
            continue;
        put_cell(i / grid->cols, i % grid->cols, cell);
        shown.cells[i] = *cell;
    }
    shown.rows = grid->rows;
    shown.cols = grid->cols;
    refresh();
    terminal_touch_end();
}

static void *run(void *unused)
{
    (void)unused;
    pthread_mutex_lock(&work.mutex);
    while (!work.quit) {
        if (!work.busy) {
            pthread_cond_wait(&work.changed, &work.mutex);
            continue;
        }
        bool anew = work.anew;
        work.anew = false;
        pthread_mutex_unlock(&work.mutex);
        draw(&work.wanted, anew);
        pthread_mutex_lock(&work.mutex);
        work.busy = false;
    }
    pthread_mutex_unlock(&work.mutex);
    if (!away && terminal_touch_begin()) {
        endwin();
        terminal_touch_end();
    }
    pthread_mutex_lock(&work.mutex);
    work.over = true;
    pthread_cond_broadcast(&work.changed);
    pthread_mutex_unlock(&work.mutex);
    return NULL;
}

/* Signals are for the other threads. */
static bool start_thread(void)
{
    sigset_t mask;
    hf_signals_hold(&mask);
    work.quit = work.over = work.busy = work.anew = false;
    shown.rows = 0; /* so that all of the first is drawn */
    bool started = pthread_create(&work.thread, NULL, run, NULL) == 0;
    hf_signals_let(&mask);
    return started;
}

/* ---- begin and end --------------------------------------------------------------------------- */

static bool in_foreground(void)
{
    pid_t group = tcgetpgrp(STDOUT_FILENO);
    return group < 0 || group == getpgrp();
}

/* The bytes that undo the screen, for a handler that may call nothing else. What asks for a delay,
 * which only terminals of glass and paper need, is left out. */
static void make_undo(void)
{
    static const char *const names[] = {"sgr0", "op", "cnorm", "rmcup"};
    undo[0] = 0;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        const char *bytes = tigetstr(names[i]);
        size_t used = strlen(undo);
        if (bytes && bytes != (char *)-1 && !strstr(bytes, "$<"))
            snprintf(undo + used, sizeof undo - used, "%s", bytes);
    }
}

/* What a terminal must be able to do; and how to undo it. */
static const char *refuse(void)
{
    int error = 0;
    const char *term = getenv("TERM");
    if (!in_foreground())
        return "in the background";
    if (!term || !term[0])
        return "TERM is not set";
    if (setupterm(term, STDOUT_FILENO, &error) != OK)
        return "this kind of terminal is not known";
    bool able = cursor_address && clear_screen;
    make_undo();
    del_curterm(cur_term); /* newterm makes its own */
    return able ? NULL : "this terminal cannot move its cursor";
}

static void choose_colours(enum theme theme)
{
    const char *no_colour = getenv("NO_COLOR");
    bool none = (no_colour && no_colour[0]) || !has_colors() || start_color() != OK;
    colours = theme_colours(none ? THEME_MONO : theme, none ? 0 : COLORS);
    if (colours->own)
        return;
    for (int i = 0; i < GRID_STYLES; i++)
        init_pair((short)(i + 1), (short)colours->of[i], (short)colours->ground);
    bkgdset((chtype)COLOR_PAIR(GRID_TEXT + 1) | ' ');
}

static bool take_terminal(enum theme theme)
{
    if (!terminal_touch_begin())
        return false;
    terminal_take_screen(undo); /* newterm takes the other screen already */
    screen = newterm(NULL, stdout, stdin);
    if (screen) {
        choose_colours(theme);
        curs_set(0);
    } else {
        terminal_take_screen(NULL);
    }
    terminal_touch_end();
    return screen != NULL;
}

bool screen_begin(enum theme theme, const char **why)
{
    *why = refuse();
    if (*why)
        return false;
    setlocale(LC_CTYPE, "");
    signal(SIGWINCH, SIG_IGN); /* the size is looked at; ncurses would take the signal */
    fflush(stdout);
    if (!take_terminal(theme)) {
        *why = "this terminal cannot be used";
        return false;
    }
    away = false;
    if (start_thread())
        return true;
    endwin();
    terminal_take_screen(NULL);
    screen = NULL;
    *why = "out of threads";
    return false;
}

/* Waits for the thread to leave; false when it has not in so many milliseconds. */
static bool is_over(long ms)
{
    struct timespec until;
    clock_gettime(CLOCK_REALTIME, &until);
    until.tv_nsec += ms * 1000000;
    until.tv_sec += until.tv_nsec / 1000000000;
    until.tv_nsec %= 1000000000;
    int late = 0;
    pthread_mutex_lock(&work.mutex);
    while (!work.over && !late)
        late = pthread_cond_timedwait(&work.changed, &work.mutex, &until);
    bool over = work.over;
    pthread_mutex_unlock(&work.mutex);
    return over;
}

void screen_end(void)
{
    enum { PATIENCE_MS = 200, TIMES = 20 };
    if (!screen)
        return;
    pthread_mutex_lock(&work.mutex);
    work.quit = true;
    pthread_cond_broadcast(&work.changed);
    pthread_mutex_unlock(&work.mutex);
    bool over = is_over(PATIENCE_MS);
    for (int i = 0; i < TIMES && !over; i++) { /* a terminal that takes nothing: what is left to
                                                  be written is dropped */
        tcflow(STDOUT_FILENO, TCOON);
        tcflush(STDOUT_FILENO, TCOFLUSH);
        over = is_over(PATIENCE_MS);
    }
    if (over) {
        pthread_join(work.thread, NULL);
        delscreen(screen);
    }
    terminal_take_screen(NULL);
    screen = NULL;
}

/* ---- drawing --------------------------------------------------------------------------------- */

bool screen_ready(int *rows, int *cols, bool *ascii)
{
    struct winsize size;
    if (!screen)
        return false;
    pthread_mutex_lock(&work.mutex);
    bool busy = work.busy;
    away = !in_foreground() || away;
    if (!busy && (away || terminal_was_stopped())) {
        away = !in_foreground();
        work.anew = !away;
    }
    pthread_mutex_unlock(&work.mutex);
    if (busy || away)
        return false;
    bool known = ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_row > 0 && size.ws_col > 0;
    *rows = known ? size.ws_row : 24; /* what terminfo would say of most */
    *cols = known ? size.ws_col : 80;
    *ascii = strcmp(nl_langinfo(CODESET), "UTF-8") != 0;
    return true;
}

void screen_draw(const struct grid *grid)
{
    size_t cells = (size_t)grid->rows * (size_t)grid->cols;
    pthread_mutex_lock(&work.mutex);
    if (screen && !work.busy) {
        work.wanted.rows = grid->rows;
        work.wanted.cols = grid->cols;
        memcpy(work.wanted.cells, grid->cells, cells * sizeof grid->cells[0]);
        work.busy = true;
        pthread_cond_signal(&work.changed);
    }
    pthread_mutex_unlock(&work.mutex);
}

#else

#include <stddef.h>

bool screen_built(void)
{
    return false;
}

bool screen_begin(enum theme theme, const char **why)
{
    (void)theme;
    *why = "built without ncursesw";
    return false;
}

void screen_end(void)
{
}

bool screen_ready(int *rows, int *cols, bool *ascii)
{
    (void)rows, (void)cols, (void)ascii;
    return false;
}

void screen_draw(const struct grid *grid)
{
    (void)grid;
}

#endif
