/* SPDX-License-Identifier: MIT */
/* Sound into Ogg Vorbis in memory; it is read back from a file by the library. */
#define _XOPEN_SOURCE 700

#include "check.h"
#include "scratch.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <sndfile.h>

#include <holdfast/vorbis.h>

enum { RATE = 48000, FRAMES = RATE };

static float sound[2 * FRAMES], decoded[2 * FRAMES];

static void make_sound(void)
{
    for (int i = 0; i < FRAMES; i++) {
        sound[2 * i] = (float)(0.1 * sin(i * 0.03) + 0.05 * sin(i * 0.041));
        sound[2 * i + 1] = (float)(0.1 * sin(i * 0.025));
    }
}

/* derived: the decoder gives back as many frames, with an error far under the sound. */
static void what_is_encoded_can_be_decoded(void **state)
{
    (void)state;
    unsigned char *bytes = NULL;
    size_t length = 0;
    struct hf_vorbis_form form = {.rate_hz = RATE, .quality = 0.5, .serial = 1};
    SF_INFO info = {0};
    make_sound();
    assert_ok(hf_vorbis_encode(sound, FRAMES, &form, &bytes, &length, NULL));
    scratch_write("a.ogg", bytes, length);
    SNDFILE *file = sf_open(scratch("a.ogg"), SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.frames, FRAMES);
    assert_int_equal(sf_readf_float(file, decoded, FRAMES), FRAMES);
    double error = 0, power = 0;
    for (int i = 0; i < 2 * FRAMES; i++) {
        error += pow((double)decoded[i] - (double)sound[i], 2);
        power += pow((double)sound[i], 2);
    }
    assert_true(10 * log10(error / power) < -15);
    sf_close(file);
    free(bytes);
}

static void the_same_sound_gives_the_same_bytes(void **state)
{
    (void)state;
    unsigned char *first = NULL, *second = NULL;
    size_t lengths[2] = {0, 0};
    struct hf_vorbis_form form = {.rate_hz = RATE, .quality = 0.3, .serial = 0x01020304};
    make_sound();
    assert_ok(hf_vorbis_encode(sound, FRAMES, &form, &first, &lengths[0], NULL));
    assert_ok(hf_vorbis_encode(sound, FRAMES, &form, &second, &lengths[1], NULL));
    assert_int_equal(lengths[0], lengths[1]);
    assert_memory_equal(first, second, lengths[0]);
    assert_memory_equal(first + 14, "\4\3\2\1", 4); /* published: RFC 3533, 6: bytes 14 to 17 */
    free(first);
    free(second);
}

static void a_rate_that_cannot_be_is_refused(void **state)
{
    (void)state;
    unsigned char *bytes = NULL;
    size_t length = 0;
    struct hf_vorbis_form form = {.rate_hz = 300000, .quality = 0.3, .serial = 1};
    struct hf_diag diag;
    assert_int_equal(hf_vorbis_encode(sound, FRAMES, &form, &bytes, &length, &diag), HF_E_USAGE);
    assert_null(bytes);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_encoded_can_be_decoded),
        cmocka_unit_test(the_same_sound_gives_the_same_bytes),
        cmocka_unit_test(a_rate_that_cannot_be_is_refused),
    };
    return cmocka_run_group_tests(tests, scratch_make, scratch_remove);
}
