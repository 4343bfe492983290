/* SPDX-License-Identifier: MIT */
/*
 * same: is what a sound server was heard to play (CAPTURE, 32-bit whole numbers) this sound
 * (REFERENCE, floating point), sample for sample?
 *   same CAPTURE.wav REFERENCE.wav
 *   same --killed PERIOD CAPTURE.wav REFERENCE.wav
 *   same --rest CAPTURE.wav REFERENCE.wav
 *   same --last CAPTURE.wav REFERENCE.wav
 *
 * The reference is converted as the recorder does it: the nearest whole number to x * 2^31. The
 * first sound of both is laid together; before it the capture must be silent, after it equal, and
 * silent again where the reference has ended. Status 0 when it is so; else 1, and where it differs.
 *
 * --killed: the player was killed, so the capture may end early. Then the server plays the player's
 * last period again and again; and on a busy machine a server that doesn't wait may leave periods
 * out, the first ones too. So every period that was heard must be the next one of the reference, or
 * one a little later, or the last one again, or silence. It may have been killed before anything
 * was heard.
 *
 * --rest: the recorder came late, so the ends of both are laid together: all that was heard must be
 * equal to the reference there, and four seconds of it at least. --last: something else was heard
 * before the reference, all of which was heard after it; and nothing was over -6 dB of full scale.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <sndfile.h>

enum { MOST_LEFT_OUT = 100, FIRST_PERIODS = 4096 };

struct sound {
    int *samples; /* interleaved stereo */
    long frames;
    int rate_hz;
};

static int fail(const char *what, const char *file)
{
    fprintf(stderr, "same: %s: %s\n", file, what);
    return 0;
}

static int convert(float x)
{
    double y = rint((double)x * 0x1p31);
    return y >= 0x1p31 ? 2147483647 : y <= -0x1p31 ? -2147483647 - 1 : (int)y;
}

static int load(const char *path, int is_float, struct sound *sound)
{
    SF_INFO info = {0};
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    if (!file)
        return fail(sf_strerror(NULL), path);
    int wanted = is_float ? SF_FORMAT_FLOAT : SF_FORMAT_PCM_32;
    if (info.channels != 2 || (info.format & SF_FORMAT_SUBMASK) != wanted)
        return fail(is_float ? "is not stereo in floating point" : "is not stereo in 32 bits",
                    path);
    size_t count = (size_t)info.frames * 2;
    sound->samples = malloc((count + 1) * sizeof *sound->samples);
    float *floats = malloc((count + 1) * sizeof *floats);
    if (!sound->samples || !floats)
        return fail("out of memory", path);
    sf_count_t got = is_float ? sf_readf_float(file, floats, info.frames)
                              : sf_readf_int(file, sound->samples, info.frames);
    for (size_t i = 0; is_float && i < count; i++)
        sound->samples[i] = convert(floats[i]);
    free(floats);
    sf_close(file);
    sound->frames = (long)info.frames;
    sound->rate_hz = info.samplerate;
    return got == info.frames ? 1 : fail("is shorter than it says", path);
}

/* The first frame that is not silent, or all. */
static long onset(const struct sound *sound)
{
    long at = 0;
    while (at < sound->frames && !sound->samples[2 * at] && !sound->samples[2 * at + 1])
        at++;
    return at;
}

/* Frame `at`, silent outside the sound. */
static int sample(const struct sound *sound, long at, int channel)
{
    return at >= 0 && at < sound->frames ? sound->samples[2 * at + channel] : 0;
}

static int compare_whole(const struct sound *capture, const struct sound *reference, long offset)
{
    if (offset + reference->frames > capture->frames) {
        printf("the capture ends before the reference does\n");
        return 1;
    }
    for (long i = 0; i < capture->frames - offset; i++) {
        for (int channel = 0; channel < 2; channel++) {
            int heard = sample(capture, i + offset, channel);
            int meant = sample(reference, i, channel);
            if (heard == meant)
                continue;
            printf("frame %ld of %ld (capture %ld), channel %d: heard %d, meant %d\n", i,
                   reference->frames, i + offset, channel, heard, meant);
            return 1;
        }
    }
    printf("equal: %ld frames, from frame %ld of the capture on\n", reference->frames, offset);
    return 0;
}

/* Are `frames` of the one, from `at`, those of the other, from `from`? */
static int equal(const struct sound *one, long at, const struct sound *other, long from,
                 long frames)
{
    for (long i = 0; i < frames; i++)
        for (int channel = 0; channel < 2; channel++)
            if (sample(one, at + i, channel) != sample(other, from + i, channel))
                return 0;
    return 1;
}

/* Where in the reference, from `from` on, this period of the capture is; -1 if nowhere near. */
static long find(const struct sound *capture, long at, const struct sound *reference, long from,
                 long period)
{
    for (long k = 0; k <= MOST_LEFT_OUT; k++)
        if (equal(capture, at, reference, from + k * period, period))
            return from + k * period;
    return -1;
}

static int compare_killed(const struct sound *capture, const struct sound *reference, long period)
{
    static const struct sound silence;
    long equals = 0, repeats = 0, next = 0;
    long start = onset(capture) / period * period;
    for (long at = start; at + period <= capture->frames; at += period) {
        long found = find(capture, at, reference, next, period);
        if (found >= 0) {
            next = found + period;
            equals++;
        } else if (equal(capture, at, capture, at - period, period) ||
                   equal(capture, at, &silence, 0, period)) {
            repeats++;
        } else {
            printf("frame %ld (capture %ld): a period that is not in the reference\n", next, at);
            return 1;
        }
    }
    printf("%ld periods equal, %ld left out, %ld repeated or silent\n", equals,
           next / period - equals, repeats);
    return equals == 0;
}

/* The last frame that is not silent, -1 for none. */
static long ending(const struct sound *sound)
{
    long at = sound->frames - 1;
    while (at >= 0 && !sound->samples[2 * at] && !sound->samples[2 * at + 1])
        at--;
    return at;
}

static int is_loud(const struct sound *sound)
{
    int ceiling = convert(0.501187f); /* derived: 10^(-6/20) */
    for (long i = 0; i < 2 * sound->frames; i++)
        if (sound->samples[i] > ceiling || sound->samples[i] < -ceiling)
            return 1;
    return 0;
}

static int compare_rest(const struct sound *capture, const struct sound *reference, int last)
{
    long from = onset(capture), to = ending(capture), offset = to - ending(reference);
    if (last && (is_loud(capture) || from >= onset(reference) + offset)) {
        printf("too loud, or nothing else came before it\n");
        return 1;
    }
    if (last)
        from = onset(reference) + offset;
    if (from == 0)
        from = FIRST_PERIODS; /* it came while something sounded, and was being connected */
    if (to - from < 4L * capture->rate_hz || reference->rate_hz != capture->rate_hz) {
        printf("too little was heard: frames %ld to %ld\n", from, to);
        return 1;
    }
    for (long at = from; at <= to; at++)
        if (!equal(capture, at, reference, at - offset, 1)) {
            printf("capture %ld (%ld to %ld) differs from frame %ld\n", at, from, to, at - offset);
            return 1;
        }
    printf("equal: %ld frames to the end\n", to - from + 1);
    return 0;
}

static int compare(const struct sound *capture, const struct sound *reference, long period)
{
    long first = onset(reference);
    long offset = onset(capture) - first;
    if (first == reference->frames || onset(capture) == capture->frames) {
        printf("nothing was heard\n");
        return period && first < reference->frames ? 0 : 1;
    }
    if (reference->rate_hz != capture->rate_hz) {
        printf("the rates differ\n");
        return 1;
    }
    if (period)
        return compare_killed(capture, reference, period);
    if (offset < 0) {
        printf("the capture began too late\n");
        return 1;
    }
    return compare_whole(capture, reference, offset);
}

int main(int argc, char **argv)
{
    struct sound capture = {0}, reference = {0};
    long period = 0;
    int status = 66, rest = argc == 4 && strcmp(argv[1], "--rest") == 0;
    int last = argc == 4 && strcmp(argv[1], "--last") == 0;
    if (argc == 5 && strcmp(argv[1], "--killed") == 0)
        period = strtol(argv[2], NULL, 10);
    if (argc != 3 && period <= 0 && !rest && !last) {
        fprintf(stderr,
                "usage: same [--rest | --last | --killed PERIOD] CAPTURE.wav REFERENCE.wav\n");
        return 64;
    }
    if (load(argv[argc - 2], 0, &capture) && load(argv[argc - 1], 1, &reference))
        status = rest || last ? compare_rest(&capture, &reference, last)
                              : compare(&capture, &reference, period);
    free(capture.samples);
    free(reference.samples);
    return status;
}
