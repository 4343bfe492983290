/* SPDX-License-Identifier: MIT */
/* Expected check sums are those of an independent writer: libogg, by way of libsndfile. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <sndfile.h>

#include <holdfast/ogg.h>

#include "check.h"

enum { ROOM = 1 << 18, FRAMES = 48000, SERIAL_AT = 14 };

struct memory {
    unsigned char bytes[ROOM];
    sf_count_t length, at;
};

static sf_count_t length(void *user)
{
    return ((struct memory *)user)->length;
}

static sf_count_t seek(sf_count_t offset, int whence, void *user)
{
    struct memory *m = user;
    m->at = offset + (whence == SEEK_SET ? 0 : whence == SEEK_CUR ? m->at : m->length);
    return m->at;
}

static sf_count_t take(void *bytes, sf_count_t count, void *user)
{
    struct memory *m = user;
    if (count > m->length - m->at)
        count = m->length - m->at;
    memcpy(bytes, m->bytes + m->at, (size_t)count);
    m->at += count;
    return count;
}

static sf_count_t put(const void *bytes, sf_count_t count, void *user)
{
    struct memory *m = user;
    assert_true(m->at + count <= ROOM);
    memcpy(m->bytes + m->at, bytes, (size_t)count);
    m->at += count;
    if (m->at > m->length)
        m->length = m->at;
    return count;
}

static sf_count_t tell(void *user)
{
    return ((struct memory *)user)->at;
}

static SF_VIRTUAL_IO disk = {length, seek, take, put, tell};

/* A second of a tone, as an Ogg stream. */
static struct memory *encoded(int subtype)
{
    struct memory *m = calloc(1, sizeof *m);
    SF_INFO info = {.samplerate = 48000, .channels = 1, .format = SF_FORMAT_OGG | subtype};
    SNDFILE *file = sf_open_virtual(&disk, SFM_WRITE, &info, m);
    float *tone = malloc(FRAMES * sizeof *tone);
    assert_non_null(file);
    for (int i = 0; i < FRAMES; i++)
        tone[i] = 0.1f * sinf((float)i * 0.03f);
    assert_int_equal(sf_writef_float(file, tone, FRAMES), FRAMES);
    assert_int_equal(sf_close(file), 0);
    free(tone);
    return m;
}

/* Gives every page the serial number; how many there were. */
static int set_all(struct memory *m, uint32_t serial)
{
    int pages = 0;
    for (sf_count_t at = 0; at < m->length; pages++) {
        size_t page = hf_ogg_set_serial(m->bytes + at, (size_t)(m->length - at), serial);
        assert_true(page > 0);
        at += (sf_count_t)page;
    }
    return pages;
}

static uint32_t serial_of(const struct memory *m)
{
    const unsigned char *at = m->bytes + SERIAL_AT;
    return at[0] | (uint32_t)at[1] << 8 | (uint32_t)at[2] << 16 | (uint32_t)at[3] << 24;
}

static void the_check_sums_are_those_of_the_encoder(void **state)
{
    (void)state;
    int subtypes[] = {SF_FORMAT_VORBIS, SF_FORMAT_OPUS};
    for (int i = 0; i < 2; i++) {
        struct memory *m = encoded(subtypes[i]), *copy = malloc(sizeof *copy);
        assert_non_null(copy);
        *copy = *m;
        uint32_t drawn = serial_of(m);
        assert_true(set_all(m, drawn ^ 0x5a5a5a5a) > 2);
        assert_int_equal(serial_of(m), drawn ^ 0x5a5a5a5a);
        set_all(m, drawn);
        assert_memory_equal(m->bytes, copy->bytes, (size_t)m->length);
        free(copy);
        free(m);
    }
}

static void with_one_serial_number_two_encodings_are_the_same_bytes(void **state)
{
    (void)state;
    struct memory *one = encoded(SF_FORMAT_OPUS), *two = encoded(SF_FORMAT_OPUS);
    set_all(one, 1);
    set_all(two, 1);
    assert_int_equal(one->length, two->length);
    assert_memory_equal(one->bytes, two->bytes, (size_t)one->length);
    free(one);
    free(two);
}

static void what_is_no_whole_page_is_left_as_it_was(void **state)
{
    (void)state;
    struct memory *m = encoded(SF_FORMAT_VORBIS), *copy = malloc(sizeof *copy);
    assert_non_null(copy);
    *copy = *m;
    size_t first = hf_ogg_set_serial(copy->bytes, (size_t)copy->length, 7);
    for (size_t cut = 0; cut < first; cut++)
        assert_int_equal(hf_ogg_set_serial(m->bytes, cut, 9), 0);
    assert_int_equal(hf_ogg_set_serial(m->bytes + 1, (size_t)m->length - 1, 9), 0);
    copy->bytes[4] = 1; /* RFC 3533: version 0 is the only one */
    assert_int_equal(hf_ogg_set_serial(copy->bytes, (size_t)copy->length, 9), 0);
    assert_int_equal(serial_of(copy), 7);
    free(copy);
    free(m);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_check_sums_are_those_of_the_encoder),
        cmocka_unit_test(with_one_serial_number_two_encodings_are_the_same_bytes),
        cmocka_unit_test(what_is_no_whole_page_is_left_as_it_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
