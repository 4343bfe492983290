/* SPDX-License-Identifier: MIT */
/*
 * probe: plays a known sequence through outlet/live, for the rig of rig.sh.
 *   probe play SECONDS REFERENCE.wav
 *       plays that long, lets it be heard, and writes what it rendered
 *   probe lose
 *       plays until the output is lost; tells how soon it was noticed (after "lost at", in seconds
 *       of the monotonic clock) and how long it took to leave it
 *   probe thrown-out | deaf
 *       the same of a server that lives and has given us up, or of one that can't tell us anything
 *       any more; then plays again
 */
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <time.h>

#include <holdfast/live.h>
#include <holdfast/number.h>
#include <holdfast/random.h>
#include <holdfast/soundfile.h>

struct sequence {
    struct hf_random random;
    long left; /* frames until silence */
    atomic_long rendered;
};

/* Random samples between -1/2 and 1/2, then silence. */
static void render(void *context, long frames, float *stereo)
{
    struct sequence *sequence = context;
    for (long i = 0; i < frames; i++) {
        for (int channel = 0; channel < 2; channel++)
            stereo[2 * i + channel] =
                sequence->left > 0 ? hf_random_unit(&sequence->random) - 0.5f : 0;
        sequence->left -= sequence->left > 0;
    }
    atomic_fetch_add(&sequence->rendered, frames);
}

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static void wait_100_ms(void)
{
    nanosleep(&(struct timespec){.tv_nsec = 100000000}, NULL);
}

static int complain(const struct hf_diag *diag, enum hf_status status)
{
    fprintf(stderr, "probe: %s\n", diag->message);
    return hf_status_exit(status);
}

static void fold(float *stereo, long frames)
{
    for (long i = 0; i < frames; i++)
        stereo[2 * i] = stereo[2 * i + 1] = (stereo[2 * i] + stereo[2 * i + 1]) / 2;
}

static enum hf_status write_reference(const char *path, int rate_hz, long frames, bool mono,
                                      struct hf_diag *diag)
{
    static float stereo[2 * 4096];
    struct sequence sequence = {.left = frames};
    struct hf_soundfile *file = NULL;
    struct hf_soundfile_form form = {
        .rate_hz = rate_hz, .bits = HF_SOUNDFILE_FLOAT, .frames = frames};
    enum hf_status status = hf_soundfile_open(&file, path, &form, diag);
    hf_random_init(&sequence.random, 1, 1);
    for (long at = 0; at < frames && status == HF_OK; at += 4096) {
        long piece = frames - at < 4096 ? frames - at : 4096;
        render(&sequence, piece, stereo);
        if (mono)
            fold(stereo, piece);
        status = hf_soundfile_write(file, stereo, piece, diag);
    }
    if (status == HF_OK)
        return hf_soundfile_commit(file, diag);
    hf_soundfile_discard(file);
    return status;
}

/* Opening an output must not leave SIGPIPE blocked: JACK's part of PortAudio does. */
static bool sigpipe_is_blocked(void)
{
    sigset_t mask;
    sigprocmask(SIG_SETMASK, NULL, &mask);
    return sigismember(&mask, SIGPIPE) == 1;
}

static int play(double seconds, const char *reference, bool mono)
{
    struct hf_diag diag = {0};
    struct hf_live *live = NULL;
    enum hf_status status = hf_live_open(&live, NULL, 0, 0, &diag);
    if (status != HF_OK)
        return complain(&diag, status);
    if (sigpipe_is_blocked()) {
        fprintf(stderr, "probe: SIGPIPE is blocked\n");
        return 1;
    }
    int rate_hz = hf_live_rate_hz(live);
    long frames = (long)(seconds * rate_hz);
    struct sequence sequence = {.left = frames};
    hf_random_init(&sequence.random, 1, 1);
    status = hf_live_start(live, render, &sequence, &diag);
    if (status != HF_OK)
        return complain(&diag, status);
    bool alive = true;
    while (alive && atomic_load(&sequence.rendered) < frames) {
        wait_100_ms();
        alive = hf_live_alive(live, now_s());
    }
    printf("callbacks %llu, underflows %llu, latency %.4f s\n",
           (unsigned long long)hf_live_callbacks(live),
           (unsigned long long)hf_live_underflows(live), hf_live_latency_s(live));
    status = hf_live_stop(live, &diag);
    if (status == HF_OK)
        status = write_reference(reference, rate_hz, frames, mono, &diag);
    return status == HF_OK ? 0 : complain(&diag, status);
}

static enum hf_status begin(struct hf_live **live, struct sequence *sequence, struct hf_diag *diag)
{
    enum hf_status status = hf_live_open(live, NULL, 0, 0, diag);
    return status == HF_OK ? hf_live_start(*live, render, sequence, diag) : status;
}

/* JACK ends the client's side of a connection: all of them as for a server that has given it up,
 * or only the one that the server tells things by, which the client takes for the server's end
 * while the server goes on asking for sound. */
static void cut_connections(bool only_told)
{
    for (int i = 3; i < 256; i++) {
        struct sockaddr_un name = {.sun_family = AF_UNIX};
        socklen_t length = sizeof name, size = sizeof(int);
        int listens = 0;
        if (getsockname(i, (struct sockaddr *)&name, &length) != 0 ||
            getsockopt(i, SOL_SOCKET, SO_ACCEPTCONN, &listens, &size) != 0 || listens)
            continue;
        if (!only_told || length > sizeof(sa_family_t)) /* it has a name of its own */
            shutdown(i, only_told ? SHUT_RD : SHUT_RDWR);
    }
}

static int lose(bool cut, bool only_told)
{
    struct hf_diag diag = {0};
    struct hf_live *live = NULL;
    struct sequence sequence = {.left = 1000000000};
    enum hf_status status = begin(&live, &sequence, &diag);
    if (status != HF_OK)
        return complain(&diag, status);
    printf("playing\n");
    fflush(stdout);
    fprintf(stderr, "noise, as a thread of the sound system makes it; not to be seen\n");
    while (cut && hf_live_callbacks(live) < 10)
        wait_100_ms();
    if (cut)
        cut_connections(only_told);
    while (hf_live_alive(live, now_s()))
        wait_100_ms();
    double lost_s = now_s();
    bool closed = hf_live_abandon(live);
    long rendered = atomic_load(&sequence.rendered);
    double left_s = now_s();
    printf("lost at %.3f, left after %.3f, %s\n", lost_s, left_s - lost_s,
           closed ? "closed" : "still closing");
    wait_100_ms();
    bool still = rendered == atomic_load(&sequence.rendered);
    if (!cut || !still)
        return still ? 0 : 1;
    status = begin(&live, &sequence, &diag);
    while (status == HF_OK && hf_live_callbacks(live) < 10)
        wait_100_ms();
    if (status == HF_OK)
        status = hf_live_stop(live, &diag);
    return status == HF_OK ? 0 : complain(&diag, status);
}

int main(int argc, char **argv)
{
    double seconds = 0;
    bool mono = argc == 4 && strcmp(argv[1], "mono") == 0;
    if (argc == 4 && (mono || strcmp(argv[1], "play") == 0) &&
        hf_number_real(argv[2], strlen(argv[2]), 0, 1000, &seconds) == HF_NUMBER_FINE)
        return play(seconds, argv[3], mono);
    bool deaf = argc == 2 && strcmp(argv[1], "deaf") == 0;
    bool cut = deaf || (argc == 2 && strcmp(argv[1], "thrown-out") == 0);
    if (cut || (argc == 2 && strcmp(argv[1], "lose") == 0))
        return lose(cut, deaf);
    fprintf(stderr, "usage: probe play|mono SECONDS REFERENCE.wav | probe lose|thrown-out|deaf\n");
    return 64;
}
