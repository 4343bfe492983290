/* SPDX-License-Identifier: MIT */
/* Invariants: libsndfile reaches the disk through the functions of this file only, so the first
 * error of the disk is kept (`error`) even where the library hides it; `done` counts the frames
 * that the library took. Rounding is done by adding and taking away 1.5 * 2^52, which leaves the
 * nearest whole number, ties to even, of any double below 2^51 (IEEE 754, default rounding). */
#include <holdfast/soundfile.h>

#include <errno.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <sndfile.h>

#include <holdfast/ogg.h>
#include <holdfast/random.h>
#include <holdfast/wholefile.h>

#include "soundfile_parts.h"

enum { CHANNELS = 2, PIECE = 2048 /* frames converted at a time */, OGG_SERIAL = 1, RIFF_HEAD = 8 };

/* What is lost by a format that loses: 0 least, 1 most. Common practice, no source: at this level
 * the encoders that libsndfile drives spend some 190 kbit/s on a drone with its cues. */
#define LOSSY_LEVEL 0.3

struct hf_soundfile {
    struct hf_wholefile *whole;
    SNDFILE *library;
    const struct hf_soundfile_format *format;
    struct hf_soundfile_form form;
    SF_INFO info;
    int64_t done;
    off_t before; /* bytes of the file that the library does not know of */
    off_t end;    /* of the rest, when the library last asked */
    int error;    /* errno of the first thing that went wrong on the disk */
    struct hf_random dither;
    union {
        int32_t as_24[PIECE * CHANNELS];
        int16_t as_16[PIECE * CHANNELS];
    } converted;
};

static double nearest(double x)
{
    return (x + 0x1.8p52) - 0x1.8p52;
}

static double clamped(double x, double low, double high)
{
    if (x < low)
        return low;
    return x > high ? high : x;
}

/* 0 for what is no number. */
static double number(float x)
{
    return x == x ? (double)x : 0;
}

void hf_soundfile_to_24(const float *samples, long count, int32_t *out)
{
    for (long i = 0; i < count; i++) {
        double x = clamped(number(samples[i]) * 0x1p23, -0x1p23, 0x1p23 - 1);
        out[i] = (int32_t)nearest(x);
    }
}

void hf_soundfile_to_16(struct hf_random *dither, const float *samples, long count, int16_t *out)
{
    for (long i = 0; i < count; i++) {
        double x = number(samples[i]) * 0x1p15;
        x += (double)hf_random_unit(dither);
        x -= (double)hf_random_unit(dither);
        out[i] = (int16_t)nearest(clamped(x, -0x1p15, 0x1p15 - 1));
    }
}

/* The disk as libsndfile sees it. */

static sf_count_t disk_length(void *user)
{
    struct hf_soundfile *file = user;
    struct stat there;
    if (fstat(hf_wholefile_descriptor(file->whole), &there) == 0)
        return file->end = there.st_size - file->before;
    file->error = file->error ? file->error : errno;
    return -1;
}

static sf_count_t disk_seek(sf_count_t offset, int whence, void *user)
{
    struct hf_soundfile *file = user;
    off_t from = whence == SEEK_SET ? file->before : 0;
    off_t at = lseek(hf_wholefile_descriptor(file->whole), from + offset, whence);
    if (at < 0 && !file->error)
        file->error = errno;
    return file->error ? file->end
                       : at - file->before; /* at the end even a reader of chunks stops */
}

static sf_count_t disk_read(void *bytes, sf_count_t length, void *user)
{
    struct hf_soundfile *file = user;
    ssize_t count;
    do
        count = read(hf_wholefile_descriptor(file->whole), bytes, (size_t)length);
    while (count < 0 && errno == EINTR);
    if (count < 0 && !file->error)
        file->error = errno;
    return count < 0 ? 0 : count;
}

static sf_count_t disk_write(const void *bytes, sf_count_t length, void *user)
{
    struct hf_soundfile *file = user;
    size_t written = 0;
    int error = file->error;
    if (!error)
        error = hf_wholefile_write_all(hf_wholefile_descriptor(file->whole), bytes, (size_t)length,
                                       &written);
    file->error = error;
    return (sf_count_t)written;
}

static sf_count_t disk_tell(void *user)
{
    return disk_seek(0, SEEK_CUR, user);
}

static SF_VIRTUAL_IO disk = {disk_length, disk_seek, disk_read, disk_write, disk_tell};

static enum hf_status io_failure(const struct hf_soundfile *file, struct hf_diag *diag)
{
    const char *why = file->error ? strerror(file->error) : sf_strerror(file->library);
    return hf_fail(diag, file->error == ENOMEM ? HF_E_MEMORY : HF_E_IO, "cannot write %.200s: %s",
                   hf_wholefile_target(file->whole), why);
}

/* What the file says of itself; before any sound is written. */
static void describe(struct hf_soundfile *file)
{
    const struct hf_soundfile_form *form = &file->form;
    const char *texts[] = {form->title, form->comment, form->date};
    int kinds[] = {SF_STR_TITLE, SF_STR_COMMENT, SF_STR_DATE};
    for (int i = 0; i < 3; i++)
        if (texts[i] && texts[i][0])
            sf_set_string(file->library, kinds[i], texts[i]);
}

static bool is_mp3(const struct hf_soundfile *file)
{
    return (file->format->library & SF_FORMAT_TYPEMASK) == SF_FORMAT_MPEG;
}

/* Of an MP3 file that is ours to write, before all else. */
static enum hf_status write_tag(struct hf_soundfile *file, struct hf_diag *diag)
{
    size_t length = 0;
    if (!is_mp3(file))
        return HF_OK;
    unsigned char *tag = hf_soundfile_tag(&file->form, &length);
    if (!tag)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    disk_write(tag, (sf_count_t)length, file);
    file->before = (off_t)length;
    free(tag);
    return file->error ? io_failure(file, diag) : HF_OK;
}

static enum hf_status open_library(struct hf_soundfile *file, struct hf_diag *diag)
{
    double effort = LOSSY_LEVEL;
    file->info.samplerate = file->form.rate_hz;
    file->info.channels = CHANNELS;
    file->info.format = hf_soundfile_library_format(file->format, &file->form);
    file->library = sf_open_virtual(&disk, SFM_WRITE, &file->info, file);
    if (!file->library || file->error)
        return io_failure(file, diag);
    /* It would carry the date. */
    sf_command(file->library, SFC_SET_ADD_PEAK_CHUNK, NULL, SF_FALSE);
    if (!file->format->has_bits)
        sf_command(file->library, SFC_SET_COMPRESSION_LEVEL, &effort, sizeof effort);
    if (!is_mp3(file))
        describe(file);
    return HF_OK;
}

enum hf_status hf_soundfile_open(struct hf_soundfile **out, const char *path,
                                 const struct hf_soundfile_form *form, struct hf_diag *diag)
{
    enum hf_status status = hf_soundfile_check(path, form, diag);
    if (status != HF_OK)
        return status;
    struct hf_soundfile *file = calloc(1, sizeof *file);
    if (!file)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    file->form = *form;
    file->format = hf_soundfile_format_of(path);
    hf_random_init(&file->dither, form->seed, HF_STREAM_DITHER);
    status = hf_wholefile_open(&file->whole, path, diag);
    if (status == HF_OK)
        status = write_tag(file, diag);
    if (status == HF_OK)
        status = open_library(file, diag);
    if (status == HF_OK)
        *out = file;
    else
        hf_soundfile_discard(file);
    return status;
}

/* Converts and writes one piece; the frames that the library took. */
static sf_count_t write_piece(struct hf_soundfile *file, const float *stereo, long frames)
{
    long count = frames * CHANNELS;
    if (!file->format->has_bits || file->form.bits == HF_SOUNDFILE_FLOAT)
        return sf_writef_float(file->library, stereo, frames);
    if (file->form.bits == 16) {
        hf_soundfile_to_16(&file->dither, stereo, count, file->converted.as_16);
        return sf_writef_short(file->library, file->converted.as_16, frames);
    }
    hf_soundfile_to_24(stereo, count, file->converted.as_24);
    for (long i = 0; i < count; i++)
        file->converted.as_24[i] *= 256; /* the library takes the upper 24 of 32 bits */
    return sf_writef_int(file->library, file->converted.as_24, frames);
}

enum hf_status hf_soundfile_write(struct hf_soundfile *file, const float *stereo, long frames,
                                  struct hf_diag *diag)
{
    if (frames > file->form.frames - file->done)
        return hf_fail(diag, HF_E_BUG, "more sound than the file was opened for");
    while (frames > 0) {
        long piece = frames < PIECE ? frames : PIECE;
        sf_count_t took = write_piece(file, stereo, piece);
        if (took != piece || file->error)
            return io_failure(file, diag);
        file->done += piece;
        stereo += piece * CHANNELS;
        frames -= piece;
    }
    return HF_OK;
}

/* Does what is on the disk now read as the sound that was written? */
static enum hf_status check_back(struct hf_soundfile *file, struct hf_diag *diag)
{
    SF_INFO found = {0};
    file->before = 0; /* as any reader sees it */
    disk_seek(0, SEEK_SET, file);
    SNDFILE *again = file->error ? NULL : sf_open_virtual(&disk, SFM_READ, &found, file);
    sf_close(again);
    if (file->error)
        return io_failure(file, diag);
    if (!again || found.frames != file->done || found.samplerate != file->form.rate_hz ||
        found.format != file->info.format)
        return hf_fail(diag, HF_E_IO,
                       "cannot write %.200s: it does not read back as it was written",
                       hf_wholefile_target(file->whole));
    return HF_OK;
}

/* Reads what there is at `at`, up to a page. */
static size_t read_page(struct hf_soundfile *file, off_t at, unsigned char *page)
{
    size_t got = 0;
    sf_count_t more = 1;
    disk_seek(at, SEEK_SET, file);
    while (!file->error && more > 0 && got < HF_OGG_PAGE_MOST) {
        more = disk_read(page + got, (sf_count_t)(HF_OGG_PAGE_MOST - got), file);
        got += (size_t)more;
    }
    return got;
}

/* The serial number that the encoder drew becomes a fixed one, page by page. */
static void settle_serial(struct hf_soundfile *file)
{
    unsigned char *page = malloc(HF_OGG_PAGE_MOST);
    size_t got = 1;
    if (!page)
        file->error = ENOMEM;
    for (off_t at = 0; !file->error && (got = read_page(file, at, page)) > 0;) {
        size_t length = hf_ogg_set_serial(page, got, OGG_SERIAL);
        if (!length)
            file->error = file->error ? file->error : EIO; /* no page where one was written */
        disk_seek(at, SEEK_SET, file);
        disk_write(page, (sf_count_t)length, file);
        at += (off_t)length;
    }
    free(page);
}

/* Puts the points after the sound, and their length into that of the whole. */
static void append_points(struct hf_soundfile *file)
{
    unsigned char size[4];
    size_t length = 0;
    unsigned char *chunks =
        hf_soundfile_points_chunks(file->form.points, file->form.point_count, &length);
    if (!chunks)
        file->error = ENOMEM;
    off_t end = file->error ? 0 : disk_seek(0, SEEK_END, file);
    disk_write(chunks, (sf_count_t)length, file);
    for (int i = 0; i < 4; i++)
        size[i] = (unsigned char)(((uint64_t)end + length - RIFF_HEAD) >> (8 * i));
    disk_seek(4, SEEK_SET, file);
    disk_write(size, sizeof size, file);
    free(chunks);
}

enum hf_status hf_soundfile_commit(struct hf_soundfile *file, struct hf_diag *diag)
{
    sf_close(file->library);
    file->library = NULL;
    if (!file->error && (file->info.format & SF_FORMAT_TYPEMASK) == SF_FORMAT_OGG)
        settle_serial(file);
    if (!file->error && file->form.point_count > 0 &&
        hf_soundfile_holds_points(hf_wholefile_target(file->whole), &file->form))
        append_points(file);
    enum hf_status status = file->error ? io_failure(file, diag) : check_back(file, diag);
    if (status == HF_OK) {
        status = hf_wholefile_commit(file->whole, diag);
        file->whole = NULL;
    }
    hf_soundfile_discard(file);
    return status;
}

void hf_soundfile_discard(struct hf_soundfile *file)
{
    if (!file)
        return;
    file->error = file->error ? file->error : ECANCELED; /* nothing more is written */
    if (file->library)
        sf_close(file->library);
    hf_wholefile_discard(file->whole);
    free(file);
}
