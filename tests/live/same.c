/* SPDX-License-Identifier: MIT */
/*
 * same: is what a sound server was heard to play (CAPTURE, 32-bit whole numbers) this sound
 * (REFERENCE, floating point), sample for sample?
 *   same CAPTURE.wav REFERENCE.wav
 *
 * The reference is converted as the recorder does it: the nearest whole number to x * 2^31. The
 * first sound of both is laid together; before it the capture must be silent, after it equal, and
 * silent again where the reference has ended. Status 0 when it is so; else 1, and where it differs.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include <sndfile.h>

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

int main(int argc, char **argv)
{
    struct sound capture, reference;
    if (argc != 3)
        return fail("usage: same CAPTURE.wav REFERENCE.wav", argv[0]), 64;
    if (!load(argv[1], 0, &capture) || !load(argv[2], 1, &reference))
        return 66;
    long first = onset(&reference);
    long offset = onset(&capture) - first;
    if (first == reference.frames || onset(&capture) == capture.frames)
        return fail("nothing is heard", argv[first == reference.frames ? 2 : 1]), 1;
    if (reference.rate_hz != capture.rate_hz)
        return fail("has another rate than the reference", argv[1]), 1;
    if (offset + reference.frames > capture.frames)
        return fail("ends before the reference does", argv[1]), 1;
    for (long i = first; i < capture.frames - offset; i++) {
        for (int channel = 0; channel < 2; channel++) {
            int heard = sample(&capture, i + offset, channel);
            int meant = sample(&reference, i, channel);
            if (heard != meant) {
                printf("frame %ld of %ld (capture %ld), channel %d: heard %d, meant %d\n", i,
                       reference.frames, i + offset, channel, heard, meant);
                return 1;
            }
        }
    }
    printf("equal: %ld frames, from frame %ld of the capture on\n", reference.frames - first,
           onset(&capture));
    return 0;
}
