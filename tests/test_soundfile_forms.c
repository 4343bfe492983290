/* SPDX-License-Identifier: MIT */
/* What a sound file says of itself, and the formats that lose a little. Points and labels are read
 * by a reader of RIFF of its own ("Multimedia Programming Interface and Data Specifications 1.0",
 * 1991); tags by libsndfile. */
#define _XOPEN_SOURCE 700
#include "scratch.h"

#include <math.h>

#include <sndfile.h>

#include <holdfast/soundfile.h>

#include "faults.h"

enum { RATE = 48000, FRAMES = 48000 };

/* A second of two tones, left and right. */
static const float *tones(void)
{
    static float stereo[2 * FRAMES];
    if (stereo[2] != 0)
        return stereo;
    for (int i = 0; i < FRAMES; i++) {
        stereo[2 * i] = 0.1f * sinf((float)i * 0.03f);
        stereo[2 * i + 1] = 0.05f * sinf((float)i * 0.05f);
    }
    return stereo;
}

static enum hf_status save(const char *name, const struct hf_soundfile_form *form,
                           struct hf_diag *diag)
{
    struct hf_soundfile *file = NULL;
    enum hf_status status = hf_soundfile_open(&file, scratch(name), form, diag);
    if (status != HF_OK)
        return status;
    status = hf_soundfile_write(file, tones(), FRAMES, diag);
    if (status == HF_OK)
        return hf_soundfile_commit(file, diag);
    hf_soundfile_discard(file);
    return status;
}

static struct hf_soundfile_form plain(void)
{
    return (struct hf_soundfile_form){.rate_hz = RATE, .bits = 16, .frames = FRAMES};
}

static uint32_t little(const unsigned char *at)
{
    return at[0] | (uint32_t)at[1] << 8 | (uint32_t)at[2] << 16 | (uint32_t)at[3] << 24;
}

/* The chunk with this id (and list type, "" for none), or NULL. */
static const unsigned char *chunk(const unsigned char *file, size_t length, const char *id,
                                  const char *type)
{
    for (size_t at = 12; at + 12 <= length;) {
        uint32_t size = little(file + at + 4);
        if (memcmp(file + at, id, 4) == 0 && (!type[0] || memcmp(file + at + 8, type, 4) == 0))
            return file + at;
        at += 8 + size + size % 2;
    }
    return NULL;
}

static void a_wav_file_has_its_points_with_their_labels(void **state)
{
    (void)state;
    static const struct hf_soundfile_point points[] = {
        {480, "1  D A Eb"}, {24000, "2  C# D G"}, {47999, "3"}};
    struct hf_soundfile_form form = plain();
    form.points = points;
    form.point_count = 3;
    assert_int_equal(save("a.wav", &form, NULL), HF_OK);
    size_t length = 0;
    unsigned char *file = scratch_read("a.wav", &length);
    assert_non_null(file);
    const unsigned char *cues = chunk(file, length, "cue ", "");
    const unsigned char *label = chunk(file, length, "LIST", "adtl");
    assert_non_null(cues);
    assert_non_null(label);
    const unsigned char *end = label + 8 + little(label + 4);
    assert_int_equal(little(cues + 8), 3);
    label += 12;
    for (int i = 0; i < 3; i++) {
        const unsigned char *cue = cues + 12 + 24 * i;
        assert_memory_equal(label, "labl", 4);
        assert_int_equal(little(label + 8), little(cue)); /* they name the same point */
        assert_memory_equal(cue + 8, "data", 4);
        assert_int_equal(little(cue + 20), points[i].frame);
        assert_string_equal((const char *)label + 12, points[i].label);
        label += 8 + little(label + 4);
    }
    assert_ptr_equal(label, end);
    free(file);
}

/* Chunks one after another up to the end, and in them sound, points and a label each. */
static void whole_points(const unsigned char *file, size_t length, uint32_t count)
{
    size_t at = 12;
    uint32_t labels = 0;
    assert_int_equal(little(file + 4), length - 8);
    while (at < length) {
        assert_true(at + 8 <= length && little(file + at + 4) <= length - at - 8);
        at += 8 + little(file + at + 4) + little(file + at + 4) % 2;
    }
    assert_int_equal(at, length);
    const unsigned char *data = chunk(file, length, "data", "");
    const unsigned char *cues = chunk(file, length, "cue ", "");
    const unsigned char *list = chunk(file, length, "LIST", "adtl");
    assert_true(data && cues && list);
    assert_int_equal(little(data + 4), 4 * FRAMES);
    assert_int_equal(little(cues + 4), 4 + 24 * count);
    assert_int_equal(little(cues + 8), count);
    for (const unsigned char *label = list + 12; label < list + 8 + little(list + 4); labels++) {
        assert_memory_equal(label, "labl", 4);
        assert_int_equal(little(label + 8), labels + 1);
        label += 8 + little(label + 4);
    }
    assert_int_equal(labels, count);
}

static void points_change_no_sample(void **state)
{
    (void)state;
    static struct hf_soundfile_point points[HF_SOUNDFILE_POINTS_MOST + 10];
    static short one[2 * FRAMES], two[2 * FRAMES];
    struct hf_soundfile_form form = plain();
    for (int i = 0; i < HF_SOUNDFILE_POINTS_MOST + 10; i++) {
        points[i].frame = i;
        snprintf(points[i].label, sizeof points[i].label, "%.*s", i % 60,
                 "------------------------------------------------------------");
    }
    assert_int_equal(save("a.wav", &form, NULL), HF_OK);
    form.points = points;
    form.point_count = HF_SOUNDFILE_POINTS_MOST + 10;
    assert_int_equal(save("b.wav", &form, NULL), HF_OK);
    size_t length = 0;
    unsigned char *bytes = scratch_read("b.wav", &length);
    assert_non_null(bytes);
    whole_points(bytes, length, HF_SOUNDFILE_POINTS_MOST);
    free(bytes);
    SF_INFO info = {0};
    SNDFILE *a = sf_open(scratch("a.wav"), SFM_READ, &info);
    SNDFILE *b = sf_open(scratch("b.wav"), SFM_READ, &info);
    assert_int_equal(sf_readf_short(a, one, FRAMES), FRAMES);
    assert_int_equal(sf_readf_short(b, two, FRAMES), FRAMES);
    assert_memory_equal(one, two, sizeof one);
    uint32_t count = 0;
    assert_int_equal(sf_command(b, SFC_GET_CUE_COUNT, &count, sizeof count), SF_TRUE);
    assert_int_equal(count, HF_SOUNDFILE_POINTS_MOST);
    sf_close(a);
    sf_close(b);
}

static void every_format_keeps_title_comment_and_date(void **state)
{
    (void)state;
    const struct hf_soundfile_format *format;
    for (size_t i = 0; (format = hf_soundfile_format(i)); i++) {
        char name[16];
        SF_INFO info = {0};
        struct hf_soundfile_form form = plain();
        form.title = "C E G\xe2\x99\xaf and 016";
        /* longer than the thirty bytes of ID3v1, and more than Latin-1 */
        form.comment = "for \xc3\x89"
                       "bba \xe2\x99\xad, a lesson that goes on for a while";
        form.date = "2026-11-25";
        snprintf(name, sizeof name, "a%s", format->extension);
        assert_int_equal(save(name, &form, NULL), HF_OK);
        SNDFILE *file = sf_open(scratch(name), SFM_READ, &info);
        assert_non_null(file);
        assert_string_equal(sf_get_string(file, SF_STR_TITLE), form.title);
        assert_string_equal(sf_get_string(file, SF_STR_COMMENT), form.comment);
        assert_string_equal(sf_get_string(file, SF_STR_DATE), form.date);
        sf_close(file);
    }
}

/* The sound against the one that was written: the part that is not it, in dB. */
static double difference_db(const char *name)
{
    static float back[2 * FRAMES];
    double error = 0, power = 0;
    SF_INFO info = {0};
    SNDFILE *file = sf_open(scratch(name), SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.frames, FRAMES);
    assert_int_equal(sf_readf_float(file, back, FRAMES), FRAMES);
    sf_close(file);
    for (int i = 2 * 2400; i < 2 * (FRAMES - 2400); i++) {
        double is = (double)back[i], was = (double)tones()[i];
        error += (is - was) * (is - was);
        power += was * was;
    }
    return 10 * log10(error / power);
}

/* published: ID3 tag version 2.4.0, Main Structure 3.1, 4, 6.2; Native Frames 4.2, 4.10 */
static void an_mp3_file_begins_with_its_tag(void **state)
{
    (void)state;
    static const unsigned char expected[] = "ID3\4\0\0\0\0\0\x31"
                                            "TIT2\0\0\0\2\0\0\3t"
                                            "COMM\0\0\0\6\0\0\3XXX\0c"
                                            "TDRC\0\0\0\x0b\0\0\3"
                                            "2026-11-25";
    struct hf_soundfile_form form = plain();
    size_t length = 0;
    form.title = "t";
    form.comment = "c";
    form.date = "2026-11-25";
    assert_int_equal(save("a.mp3", &form, NULL), HF_OK);
    unsigned char *bytes = scratch_read("a.mp3", &length);
    assert_true(length > sizeof expected);
    assert_memory_equal(bytes, expected, sizeof expected - 1);
    assert_int_equal(bytes[sizeof expected - 1], 0xff); /* the first frame of sound */
    free(bytes);
    form = plain(); /* nothing to say: no tag */
    assert_int_equal(save("a.mp3", &form, NULL), HF_OK);
    bytes = scratch_read("a.mp3", &length);
    assert_int_equal(bytes[0], 0xff);
    free(bytes);
}

static void what_loses_a_little_is_in_time_and_close(void **state)
{
    (void)state;
    static const char *names[] = {"a.ogg", "a.opus", "a.mp3"};
    for (int i = 0; i < 3; i++) {
        struct hf_soundfile_form form = plain();
        assert_int_equal(save(names[i], &form, NULL), HF_OK);
        /* derived: one sample late, the higher tone alone would differ by 20 log10(0.05 / 2) =
         * -32 dB of its power; a wrong side or scale by more */
        assert_true(difference_db(names[i]) < -35);
    }
}

static void every_format_gives_the_same_bytes_each_time(void **state)
{
    (void)state;
    const struct hf_soundfile_format *format;
    for (size_t i = 0; (format = hf_soundfile_format(i)); i++) {
        char names[2][16];
        unsigned char *bytes[2];
        size_t lengths[2];
        for (int k = 0; k < 2; k++) {
            struct hf_soundfile_form form = plain();
            form.title = "t";
            snprintf(names[k], sizeof names[k], "%d%s", k, format->extension);
            assert_int_equal(save(names[k], &form, NULL), HF_OK);
            bytes[k] = scratch_read(names[k], &lengths[k]);
        }
        assert_int_equal(lengths[0], lengths[1]);
        assert_memory_equal(bytes[0], bytes[1], lengths[0]);
        free(bytes[0]);
        free(bytes[1]);
    }
}

static void what_a_format_cannot_hold_is_refused(void **state)
{
    (void)state;
    struct hf_soundfile_form form = plain();
    struct hf_diag diag = {0};
    form.rate_hz = 44100;
    assert_int_equal(save("a.opus", &form, &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.message, "8000, 12000, 16000, 24000, 48000"));
    form.rate_hz = 96000;
    assert_int_equal(save("a.mp3", &form, &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.message, "96000"));
    form.bits_asked = true;
    assert_int_equal(save("a.ogg", &form, &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.message, "no bits"));
    assert_int_equal(scratch_count(NULL), 0);
}

static void only_a_wav_file_of_up_to_4_gib_holds_points(void **state)
{
    (void)state;
    struct hf_soundfile_form form = plain();
    assert_true(hf_soundfile_holds_points("a.WAV", &form));
    assert_false(hf_soundfile_holds_points("a.flac", &form));
    assert_false(hf_soundfile_holds_points("a", &form));
    form.frames = INT64_C(1) << 30; /* of 4 bytes each */
    assert_false(hf_soundfile_holds_points("a.wav", &form));
}

/* A full disk that the encoder would hide. */
static void a_failure_of_any_call_is_noticed(void **state)
{
    (void)state;
    static const char *names[] = {"a.ogg", "a.mp3", "a.wav"};
    static const char old[] = "the old file";
    static const struct hf_soundfile_point points[] = {{480, "1"}};
    for (int i = 0; i < 3; i++)
        for (long nth = 1, struck = 1; struck; nth++) {
            struct hf_soundfile_form form = plain();
            struct hf_diag diag = {0};
            form.points = points;
            form.point_count = 1;
            scratch_write(names[i], old, strlen(old));
            faults_arm(false, nth, true, ENOSPC);
            enum hf_status status = save(names[i], &form, &diag);
            struck = faults_end();
            assert_true(scratch_count(NULL) == i + 1);
            assert_true(struck || status == HF_OK);
            if (scratch_is(names[i], old))
                assert_int_not_equal(status, HF_OK);
        }
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, scratch_make, scratch_remove)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_wav_file_has_its_points_with_their_labels),
        TEST(points_change_no_sample),
        TEST(every_format_keeps_title_comment_and_date),
        TEST(an_mp3_file_begins_with_its_tag),
        TEST(what_loses_a_little_is_in_time_and_close),
        TEST(every_format_gives_the_same_bytes_each_time),
        TEST(what_a_format_cannot_hold_is_refused),
        TEST(only_a_wav_file_of_up_to_4_gib_holds_points),
        TEST(a_failure_of_any_call_is_noticed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
