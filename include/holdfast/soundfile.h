/* SPDX-License-Identifier: MIT */
/*
 * soundfile: stereo sound to a file (libsndfile), whole or not at all. The numbers are converted
 * here, by the same rule on every machine, so that the same samples give the same file.
 *
 * The module owns what hf_soundfile_open makes until commit or discard. One thread at a time for
 * each file. Not for the audio thread.
 *
 * Conversion, for a sample x (full scale is 1; a number that is none counts as 0):
 *   24 bits  x * 2^23 to the nearest whole number, ties to even, clamped to -2^23 .. 2^23 - 1
 *   16 bits  x * 2^15 + u1 - u2 likewise, clamped to -2^15 .. 2^15 - 1. u1 and u2 are draws of
 *            hf_random_unit in this order from stream HF_STREAM_DITHER of `seed`, two for each
 *            sample, left before right: triangular dither of 2 steps peak to peak
 *            (S. P. Lipshitz, R. A. Wannamaker, J. Vanderkooy, "Quantization and Dither:
 *            A Theoretical Survey", J. Audio Eng. Soc. 40/5, 1992)
 *   float    32 bits, as it is
 * A format that loses a little (Ogg Vorbis, Opus, MP3) has no bits: its encoder takes the floats.
 */
#ifndef HOLDFAST_SOUNDFILE_H
#define HOLDFAST_SOUNDFILE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <holdfast/status.h>

enum { HF_SOUNDFILE_FLOAT = 32 }; /* `bits` of floating point */

/* The most points that a file holds (that many can libsndfile read). */
enum { HF_SOUNDFILE_POINTS_MOST = 2500 };

/* A place in the sound with a name, which editors show. */
struct hf_soundfile_point {
    int64_t frame;
    char label[64];
};

struct hf_soundfile_form {
    int rate_hz;     /* 1 or more */
    int bits;        /* 16, 24 or HF_SOUNDFILE_FLOAT */
    bool bits_asked; /* by the player: a format without bits refuses them then */
    int64_t frames;  /* the most that will be written: past what WAV can hold it becomes RF64 */
    uint64_t seed;   /* of the dither */
    /* What the file says of itself, where the format holds it; NULL or "" for nothing. UTF-8. */
    const char *title, *comment, *date;
    const struct hf_soundfile_point *points; /* ascending, yours, until the commit */
    size_t point_count;                      /* those past the limit are left out */
};

/* A format that this build writes. */
struct hf_soundfile_format {
    const char *extension; /* with its dot */
    const char *about;     /* one line */
    bool has_bits, holds_float, holds_points;
    const int *rates_hz; /* the only ones, 0 at the end; NULL: any */
    int library;         /* container and coding, as libsndfile has them */
};

/* The formats, one for each index from 0; NULL after the last. */
const struct hf_soundfile_format *hf_soundfile_format(size_t index);

/* The format of a file's extension, in capitals or not; NULL for an unknown one. */
const struct hf_soundfile_format *hf_soundfile_format_of(const char *path);

/* Whether a file of this form will hold its points (a WAV file so long that it becomes RF64 holds
 * none). */
bool hf_soundfile_holds_points(const char *path, const struct hf_soundfile_form *form);

struct hf_soundfile;

/* Starts a file in the format of its extension. Errors: HF_E_USAGE for an extension that is unknown
 * (the message lists the known ones), for bits and for rates that the format can't hold; those of
 * hf_wholefile_open. */
enum hf_status hf_soundfile_open(struct hf_soundfile **out, const char *path,
                                 const struct hf_soundfile_form *form,
                                 struct hf_diag *diag) HF_CHECKED;

/* Appends `frames` frames of interleaved stereo. Best in pieces of 1024 to 4096 frames; the file is
 * the same for any pieces. HF_E_IO when it can't be written; HF_E_BUG past the frames promised. */
enum hf_status hf_soundfile_write(struct hf_soundfile *file, const float *stereo, long frames,
                                  struct hf_diag *diag) HF_CHECKED;

/* Closes, syncs, reads the header back and compares the frames, renames into place. Frees `file` in
 * every case. HF_E_IO: the old file, if any, is as it was and no temporary file is left. */
enum hf_status hf_soundfile_commit(struct hf_soundfile *file, struct hf_diag *diag) HF_CHECKED;

/* Drops what was written, and frees; the target stays as it was. `file` may be NULL. */
void hf_soundfile_discard(struct hf_soundfile *file);

/* The conversions, as above: `count` samples (not frames). */
void hf_soundfile_to_24(const float *samples, long count, int32_t *out);

struct hf_random;
void hf_soundfile_to_16(struct hf_random *dither, const float *samples, long count, int16_t *out);

#endif
