/* SPDX-License-Identifier: MIT */
/*
 * hands: a player at a terminal. Runs a program on a terminal of its own and does what it is told,
 * step by step; then tells how the program ended and whether the terminal is as it was. hands
 * SCREEN STEP... -- PROGRAM ARGUMENT... What the program prints goes to the file SCREEN. Steps:
 *   until=TEXT       wait until TEXT is printed, after what was waited for before (20 s at most)
 *   wait=MS          let time pass
 *   press=KEYS       press keys; \e is Escape, \r Enter, \c Control-C, \z Control-Z
 *   hold=N,MS,KEYS   press them N times, MS apart, as a key that is held down
 *   signal=NUMBER    send a signal to the program
 *   stop             stop the program, and let it go on when it has stopped
 *   hang-up          close the terminal
 * Says "status N" or "signal N", then "terminal as before" or "terminal changed" (unless it is
 * closed). Status 0, or 1 when a step failed.
 */
#define _XOPEN_SOURCE 700

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#include <holdfast/number.h>

enum { ARGUMENTS = 80, PRINTED = 1 << 20, PATIENCE_MS = 20000 };

static struct {
    int master, slave;
    pid_t child;
    FILE *screen;
    char printed[PRINTED];
    size_t length, seen; /* seen: up to here it was waited for */
    struct termios before;
    bool hung_up;
} s;

static int fail(const char *what)
{
    fprintf(stderr, "hands: %s: %s\n", what, strerror(errno));
    return 1;
}

static long now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

/* Takes what is printed until `ms` have gone by, or until there is something and `once`. */
static void listen_for(long ms, bool once)
{
    for (long end = now_ms() + ms, left = ms; left >= 0; left = end - now_ms()) {
        struct pollfd from = {.fd = s.master, .events = POLLIN};
        if (s.hung_up || poll(&from, 1, (int)left) < 0) {
            struct timespec rest = {.tv_sec = left / 1000, .tv_nsec = left % 1000 * 1000000};
            nanosleep(&rest, NULL);
            return;
        }
        if (!from.revents)
            return;
        ssize_t got = read(s.master, s.printed + s.length, PRINTED - 1 - s.length);
        if (got <= 0)
            return;
        fwrite(s.printed + s.length, 1, (size_t)got, s.screen);
        s.length += (size_t)got;
        s.printed[s.length] = 0;
        if (once)
            return;
    }
}

static int until(const char *text)
{
    for (long end = now_ms() + PATIENCE_MS; now_ms() < end; listen_for(100, true)) {
        const char *found = strstr(s.printed + s.seen, text);
        if (found) {
            s.seen = (size_t)(found - s.printed) + strlen(text);
            return 0;
        }
    }
    fprintf(stderr, "hands: \"%s\" was not printed\n", text);
    return 1;
}

static int press(const char *keys)
{
    for (; *keys; keys++) {
        char key = *keys;
        if (key == '\\' && keys[1]) {
            keys++;
            const char *mark = strchr("e\033r\rc\003z\032", *keys);
            key = mark ? mark[1] : *keys;
        }
        if (write(s.master, &key, 1) != 1)
            return fail("press");
    }
    return 0;
}

static bool number(const char **text, long *out)
{
    size_t length = strcspn(*text, ",");
    bool fine = hf_number_whole(*text, length, 0, 1000000, out) == HF_NUMBER_FINE;
    *text += length + ((*text)[length] == ',');
    return fine;
}

static int hold(const char *how)
{
    long times = 0, apart_ms = 0;
    if (!number(&how, &times) || !number(&how, &apart_ms))
        return fail(how);
    for (; times > 0; times--) {
        if (press(how) != 0)
            return 1;
        listen_for(apart_ms, false);
    }
    return 0;
}

/* What a shell does when a job is stopped and goes on: it has the terminal in its own modes
 * between. */
static int stop(void)
{
    int status = 0;
    kill(s.child, SIGTSTP);
    if (waitpid(s.child, &status, WUNTRACED) != s.child || !WIFSTOPPED(status))
        return fail("stop");
    struct termios modes;
    tcgetattr(s.slave, &modes);
    printf("%s\n",
           modes.c_lflag & ICANON ? "stopped, terminal as before" : "stopped, terminal changed");
    kill(s.child, SIGCONT);
    return 0;
}

static int step(const char *what)
{
    const char *text = strchr(what, '=') ? strchr(what, '=') + 1 : "";
    long amount = 0;
    if (strncmp(what, "until=", 6) == 0)
        return until(text);
    if (strncmp(what, "press=", 6) == 0)
        return press(text);
    if (strncmp(what, "hold=", 5) == 0)
        return hold(text);
    if (strncmp(what, "wait=", 5) == 0 && number(&text, &amount)) {
        listen_for(amount, false);
        return 0;
    }
    if (strncmp(what, "signal=", 7) == 0 && number(&text, &amount))
        return kill(s.child, (int)amount) == 0 ? 0 : fail(what);
    if (strcmp(what, "stop") == 0)
        return stop();
    if (strcmp(what, "hang-up") == 0) {
        close(s.slave);
        close(s.master);
        s.hung_up = true;
        return 0;
    }
    errno = EINVAL;
    return fail(what);
}

static int open_terminal(void)
{
    s.master = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
    if (s.master < 0 || grantpt(s.master) != 0 || unlockpt(s.master) != 0)
        return fail("terminal");
    s.slave = open(ptsname(s.master), O_RDWR | O_NOCTTY | O_CLOEXEC);
    return s.slave < 0 || tcgetattr(s.slave, &s.before) != 0 ? fail("terminal") : 0;
}

/* A session begins at once, unless a test says how it is to start. */
static char **told_to_begin(char **argv, int count)
{
    static char *more[ARGUMENTS], start[] = "--start", now[] = "now";
    int at = 0, play = -1;
    for (int i = 0; i < count && at < ARGUMENTS - 3; i++) {
        more[at++] = argv[i];
        if (play < 0 && i > 0 && strcmp(argv[i], "play") == 0)
            play = at;
        if (strcmp(argv[i], "--start") == 0)
            return argv;
    }
    if (play < 0)
        return argv;
    memmove(more + play + 2, more + play, (size_t)(at - play) * sizeof more[0]);
    more[play] = start;
    more[play + 1] = now;
    return more;
}

static void become(char **argv)
{
    setsid();
    ioctl(s.slave, TIOCSCTTY, 0);
    for (int i = 0; i < 3; i++)
        dup2(s.slave, i);
    execv(argv[0], argv);
    _exit(127);
}

/* Listens to the end of the program; its status as waitpid gives it. */
static int await_end(void)
{
    int status = 0;
    for (long end = now_ms() + PATIENCE_MS; now_ms() < end; listen_for(20, true))
        if (waitpid(s.child, &status, WNOHANG) == s.child)
            return status;
    fprintf(stderr, "hands: the program does not end\n");
    kill(s.child, SIGKILL);
    waitpid(s.child, &status, 0);
    return status;
}

static void tell(int status)
{
    struct termios after;
    if (WIFSIGNALED(status))
        printf("signal %d\n", WTERMSIG(status));
    else
        printf("status %d\n", WEXITSTATUS(status));
    if (s.hung_up)
        return;
    memset(&after, 0, sizeof after);
    tcgetattr(s.slave, &after);
    bool same = after.c_iflag == s.before.c_iflag && after.c_oflag == s.before.c_oflag &&
                after.c_cflag == s.before.c_cflag && after.c_lflag == s.before.c_lflag &&
                memcmp(after.c_cc, s.before.c_cc, sizeof after.c_cc) == 0;
    printf("terminal %s\n", same ? "as before" : "changed");
}

int main(int argc, char **argv)
{
    int program = 2, failed = 0;
    while (program < argc && strcmp(argv[program], "--") != 0)
        program++;
    if (argc < 3 || program + 1 >= argc || open_terminal() != 0)
        return fail("usage: hands SCREEN STEP... -- PROGRAM ARGUMENT...");
    s.screen = fopen(argv[1], "wb");
    if (!s.screen)
        return fail(argv[1]);
    s.child = fork();
    if (s.child == 0)
        become(told_to_begin(argv + program + 1, argc - program - 1));
    for (int i = 2; i < program && !failed; i++)
        failed = step(argv[i]);
    if (failed)
        kill(s.child, SIGTERM);
    tell(await_end());
    listen_for(0, false);
    fclose(s.screen);
    return failed;
}
