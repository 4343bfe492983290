/* SPDX-License-Identifier: MIT */
/* Invariant: libsndfile writes to memory only, through the functions of this file; what can't be
 * kept for want of memory is an error at the end, not a shorter file. */
#include <holdfast/vorbis.h>

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include <sndfile.h>

#include <holdfast/ogg.h>

enum { CHANNELS = 2, PIECE = 4096 };

struct memory {
    unsigned char *bytes;
    size_t length, room, at;
    bool failed;
};

static sf_count_t memory_length(void *user)
{
    return (sf_count_t)((struct memory *)user)->length;
}

static sf_count_t memory_seek(sf_count_t offset, int whence, void *user)
{
    struct memory *m = user;
    sf_count_t from = whence == SEEK_SET ? 0 : (sf_count_t)(whence == SEEK_CUR ? m->at : m->length);
    if (from + offset < 0 || from + offset > (sf_count_t)m->length)
        return -1;
    m->at = (size_t)(from + offset);
    return (sf_count_t)m->at;
}

static sf_count_t memory_read(void *to, sf_count_t length, void *user)
{
    struct memory *m = user;
    size_t count = m->length - m->at < (size_t)length ? m->length - m->at : (size_t)length;
    memcpy(to, m->bytes + m->at, count);
    m->at += count;
    return (sf_count_t)count;
}

static bool make_room(struct memory *m, size_t needed)
{
    size_t room = m->room ? m->room : 1 << 16;
    while (room < needed)
        room *= 2;
    if (room == m->room)
        return true;
    unsigned char *grown = realloc(m->bytes, room);
    if (!grown)
        return false;
    m->bytes = grown;
    m->room = room;
    return true;
}

static sf_count_t memory_write(const void *from, sf_count_t length, void *user)
{
    struct memory *m = user;
    if (m->failed || !make_room(m, m->at + (size_t)length)) {
        m->failed = true;
        return 0;
    }
    memcpy(m->bytes + m->at, from, (size_t)length);
    m->at += (size_t)length;
    m->length = m->at > m->length ? m->at : m->length;
    return length;
}

static sf_count_t memory_tell(void *user)
{
    return (sf_count_t)((struct memory *)user)->at;
}

static SF_VIRTUAL_IO in_memory = {memory_length, memory_seek, memory_read, memory_write,
                                  memory_tell};

/* False where the library takes no more: it sets up its encoder at the first piece. */
static bool encode(SNDFILE *library, const float *stereo, int64_t frames)
{
    for (int64_t done = 0; done < frames; done += PIECE) {
        int64_t piece = frames - done < PIECE ? frames - done : PIECE;
        if (sf_writef_float(library, stereo + CHANNELS * done, piece) != piece)
            return false;
    }
    return true;
}

/* Every page gets the serial; a rest that is no page is left alone. */
static void number_pages(struct memory *m, uint32_t serial)
{
    size_t page = 1;
    for (size_t at = 0; at < m->length && page > 0; at += page)
        page = hf_ogg_set_serial(m->bytes + at, m->length - at, serial);
}

enum hf_status hf_vorbis_encode(const float *stereo, int64_t frames,
                                const struct hf_vorbis_form *form, unsigned char **bytes,
                                size_t *length, struct hf_diag *diag)
{
    struct memory memory = {0};
    double quality = form->quality;
    SF_INFO info = {.samplerate = form->rate_hz,
                    .channels = CHANNELS,
                    .format = SF_FORMAT_OGG | SF_FORMAT_VORBIS};
    SNDFILE *library = sf_open_virtual(&in_memory, SFM_WRITE, &info, &memory);
    sf_command(library, SFC_SET_VBR_ENCODING_QUALITY, &quality, sizeof quality);
    bool encoded = library && encode(library, stereo, frames);
    sf_close(library);
    if (!encoded || memory.failed) {
        free(memory.bytes);
        return memory.failed
                   ? hf_fail(diag, HF_E_MEMORY, "out of memory for the sound")
                   : hf_fail(diag, HF_E_USAGE, "there is no Vorbis sound of %d Hz", form->rate_hz);
    }
    number_pages(&memory, form->serial);
    *bytes = memory.bytes;
    *length = memory.length;
    return HF_OK;
}
