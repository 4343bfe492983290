/* SPDX-License-Identifier: MIT */
/*
 * step: does the screen change when the sound is heard? It runs a player on a terminal of its own
 * and listens to it as a client of the same JACK server.
 *   step ONSETS LIMIT_MS SHARE PROGRAM ARGUMENT...
 *
 * Heard: the first sample over a threshold after a while of silence, at the time that the server
 * gives that frame, plus the latency of the playback port. Shown: pitches ("Eb4 A4 D5") written to
 * the terminal, where before it had blanks, at the time that they are read. The session must be one
 * that shows pitches with each onset and is silent between (--drone off --cue confirm).
 * An onset counts unless the server or this listener stumbled about then: the server tells of its
 * own (an xrun, after which its times of frames are guesses), the listener looks every 5 ms and
 * sees when it was kept from it. Where that is allowed, it and the player go before what else runs.
 * Prints the greatest and the mean difference; status 0 when at least so many onsets counted, there
 * were as many changes as onsets, no less than SHARE percent of them within the limit, and the mean
 * within half of it.
 */
#define _XOPEN_SOURCE 700

#include <math.h>
#include <poll.h>
#include <sched.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>
#include <fcntl.h>

#include <jack/jack.h>
#include <jack/statistics.h>

enum { MOST = 1000, QUIET = 4800, LOOK_MS = 5, BEFORE_OTHERS = 5 };

static const double UNSURE_BEFORE_S = 0.1, UNSURE_AFTER_S = 0.3;

static jack_client_t *client;
static jack_port_t *input;
static struct {
    jack_time_t at[MOST]; /* on the server's clock, told in the same cycle */
    atomic_int count;
    long quiet; /* frames of silence so far */
} heard;
static struct {
    double at[MOST];
    int count;
    char tail[16]; /* the last characters, which may be the beginning of a pattern */
    int length;
    double last;
} shown;

/* Where times can't be relied on: by whom, from, to, on our clock. */
struct stumbles {
    double from[MOST], to[MOST];
    atomic_int count;
};
static struct stumbles of_server, of_listener; /* the first is written by the server's thread */

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static void note_stumble(struct stumbles *stumbles, double from, double to)
{
    int count = atomic_load(&stumbles->count);
    if (count == MOST)
        return;
    stumbles->from[count] = from;
    stumbles->to[count] = to;
    atomic_store(&stumbles->count, count + 1);
}

static bool stumbled_at(const struct stumbles *stumbles, double at)
{
    for (int i = 0; i < atomic_load(&stumbles->count); i++)
        if (at > stumbles->from[i] && at < stumbles->to[i])
            return true;
    return false;
}

static int on_xrun(void *unused)
{
    (void)unused;
    double now = now_s();
    note_stumble(&of_server,
                 now - (double)jack_get_xrun_delayed_usecs(client) * 1e-6 - UNSURE_BEFORE_S,
                 now + UNSURE_AFTER_S);
    return 0;
}

static int on_cycle(jack_nframes_t frames, void *unused)
{
    (void)unused;
    const float *samples = jack_port_get_buffer(input, frames);
    jack_nframes_t first = jack_last_frame_time(client);
    for (jack_nframes_t i = 0; i < frames; i++) {
        bool loud = fabsf(samples[i]) > 1e-3F;
        int count = atomic_load(&heard.count);
        if (loud && heard.quiet >= QUIET && count < MOST) {
            heard.at[count] = jack_frames_to_time(client, first + i);
            atomic_store(&heard.count, count + 1);
        }
        heard.quiet = loud ? 0 : heard.quiet + 1;
    }
    return 0;
}

/* A letter, maybe a sign, a digit, a space: a pitch, as no other text of the screen has it. */
static bool is_pitch(const char *text)
{
    if (text[0] < 'A' || text[0] > 'G')
        return false;
    text += text[1] == '#' || text[1] == 'b' ? 2 : 1;
    return text[0] >= '1' && text[0] <= '7' && text[1] == ' ';
}

static void look(const char *bytes, size_t count, double at)
{
    for (size_t i = 0; i < count; i++) {
        memmove(shown.tail, shown.tail + 1, 3);
        shown.tail[3] = bytes[i];
        bool pitch = is_pitch(shown.tail) || is_pitch(shown.tail + 1);
        if (pitch && at - shown.last > 0.3 && shown.count < MOST) {
            shown.at[shown.count++] = at;
            shown.last = at;
        }
    }
}

static bool begin(void)
{
    client = jack_client_open("step", JackNoStartServer, NULL);
    if (!client)
        return false;
    input = jack_port_register(client, "in", JACK_DEFAULT_AUDIO_TYPE, JackPortIsInput, 0);
    jack_set_process_callback(client, on_cycle, NULL);
    jack_set_xrun_callback(client, on_xrun, NULL);
    return input && jack_activate(client) == 0;
}

static void connect_player(void)
{
    const char **ports = jack_get_ports(client, NULL, JACK_DEFAULT_AUDIO_TYPE, JackPortIsOutput);
    for (int i = 0; ports && ports[i]; i++)
        if (strncmp(ports[i], "system:", 7) != 0)
            jack_connect(client, ports[i], jack_port_name(input));
    jack_free(ports);
}

static pid_t start(char **argv, int *master)
{
    struct winsize size = {.ws_row = 24, .ws_col = 80};
    *master = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
    if (*master < 0 || grantpt(*master) != 0 || unlockpt(*master) != 0)
        return -1;
    int slave = open(ptsname(*master), O_RDWR | O_NOCTTY | O_CLOEXEC);
    ioctl(slave, TIOCSWINSZ, &size);
    pid_t child = fork();
    if (child == 0) {
        setsid();
        ioctl(slave, TIOCSCTTY, 0);
        for (int i = 0; i < 3; i++)
            dup2(slave, i);
        execv(argv[0], argv);
        _exit(127);
    }
    close(slave);
    return child;
}

static void follow(pid_t child, int master)
{
    char bytes[65536];
    bool connected = false;
    double last = now_s();
    for (int status; waitpid(child, &status, WNOHANG) == 0;) {
        struct pollfd from = {.fd = master, .events = POLLIN};
        int ready = poll(&from, 1, LOOK_MS);
        double now = now_s();
        if (now - last > 2e-3 * LOOK_MS) /* whatever came meanwhile is seen late */
            note_stumble(&of_listener, last, now + 1e-3);
        last = now;
        if (ready <= 0)
            continue;
        ssize_t got = read(master, bytes, sizeof bytes);
        if (got > 0)
            look(bytes, (size_t)got, now_s());
        if (!connected && got > 0)
            connect_player();
        connected = jack_port_connected(input) > 0;
    }
}

/* Seconds from the server's clock to ours, and how long until a frame that is rendered is heard. */
static double offset_s(void)
{
    double before = now_s(), server = (double)jack_get_time() * 1e-6, after = now_s();
    return (before + after) / 2 - server;
}

static double latency_s(void)
{
    jack_latency_range_t range = {0, 0};
    jack_port_t *playback = jack_port_by_name(client, "system:playback_1");
    if (playback)
        jack_port_get_latency_range(playback, JackPlaybackLatency, &range);
    return (double)range.max / jack_get_sample_rate(client);
}

static int compare(int wanted, double limit_ms, long share)
{
    int count = atomic_load(&heard.count);
    double offset = offset_s(), latency = latency_s(), worst = 0, sum = 0;
    int before = 0; /* of the session's first lines */
    while (count && before < shown.count &&
           shown.at[before] < (double)heard.at[0] * 1e-6 + offset - 0.4)
        before++;
    memmove(shown.at, shown.at + before, sizeof shown.at - (size_t)before * sizeof shown.at[0]);
    shown.count -= before;
    int within = 0, counted = 0;
    for (int i = 0; i < count && i < shown.count; i++) {
        double at = (double)heard.at[i] * 1e-6 + offset + latency;
        if (stumbled_at(&of_server, at) || stumbled_at(&of_listener, shown.at[i]))
            continue;
        counted++;
        double late_ms = (shown.at[i] - at) * 1000;
        worst = fabs(late_ms) > fabs(worst) ? late_ms : worst;
        sum += late_ms;
        within += fabs(late_ms) <= limit_ms;
        if (fabs(late_ms) > limit_ms)
            printf("onset %d: shown %.1f ms after it was heard\n", i + 1, late_ms);
    }
    printf("%d onsets, %d changes, %d counted (%d stumbles of the server, %d of the listener); "
           "latency "
           "%.1f ms; shown %.1f ms after in the mean, %.1f at most\n",
           count, shown.count, counted, atomic_load(&of_server.count),
           atomic_load(&of_listener.count), latency * 1000, sum / (counted ? counted : 1), worst);
    bool well = within * 100L >= share * counted && fabs(sum) <= counted * limit_ms / 2;
    return counted >= wanted && count == shown.count && well ? 0 : 1;
}

int main(int argc, char **argv)
{
    int master = -1;
    heard.quiet = QUIET;
    if (argc < 5 || !begin()) {
        fprintf(stderr,
                "usage: step ONSETS LIMIT_MS SHARE PROGRAM ARGUMENT..., beside a JACK server\n");
        return 64;
    }
    (void)sched_setscheduler(0, SCHED_RR, &(struct sched_param){.sched_priority = BEFORE_OTHERS});
    pid_t child = start(argv + 4, &master);
    if (child < 0)
        return 1;
    follow(child, master);
    int failed =
        compare((int)strtol(argv[1], NULL, 10), strtod(argv[2], NULL), strtol(argv[3], NULL, 10));
    jack_client_close(client);
    return failed;
}
