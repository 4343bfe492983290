/* SPDX-License-Identifier: MIT */
/* What is written is read back twice: by libsndfile, and by the reader below, which follows the
 * specifications and shares nothing with the program. */
#define _XOPEN_SOURCE 700
#include "scratch.h"

#include <math.h>

#include <sndfile.h>

#include <holdfast/random.h>
#include <holdfast/soundfile.h>

#include "faults.h"

enum { RATE = 48000 };

/* ---- a reader of RIFF WAVE (IBM and Microsoft, "Multimedia Programming Interface and Data
 * Specifications 1.0", 1991) and RF64 (EBU Tech 3306) ---- */

struct wave {
    unsigned char *file; /* the bytes, to be freed */
    size_t length;
    bool rf64;
    uint64_t riff_size, data_size, samples; /* samples: of the ds64 chunk, RF64 only */
    unsigned tag, channels, rate, block, bits;
    const unsigned char *data;
    char others[64]; /* ids of chunks that aren't fmt, data or ds64 */
};

static uint64_t little(const unsigned char *at, int bytes)
{
    uint64_t value = 0;
    while (bytes-- > 0)
        value = value << 8 | at[bytes];
    return value;
}

static void read_format(struct wave *wave, const unsigned char *at)
{
    wave->tag = (unsigned)little(at, 2);
    wave->channels = (unsigned)little(at + 2, 2);
    wave->rate = (unsigned)little(at + 4, 4);
    wave->block = (unsigned)little(at + 12, 2);
    wave->bits = (unsigned)little(at + 14, 2);
    assert_int_equal(little(at + 8, 4), wave->rate * wave->block);
    if (wave->tag == 0xfffe) /* WAVE_FORMAT_EXTENSIBLE: the tag begins the sub-format's GUID */
        wave->tag = (unsigned)little(at + 24, 2);
}

static struct wave parse(const char *name)
{
    struct wave wave = {0};
    wave.file = scratch_read(name, &wave.length);
    assert_non_null(wave.file);
    assert_true(wave.length >= 12);
    wave.rf64 = memcmp(wave.file, "RF64", 4) == 0;
    assert_true(wave.rf64 || memcmp(wave.file, "RIFF", 4) == 0);
    wave.riff_size = little(wave.file + 4, 4);
    assert_memory_equal(wave.file + 8, "WAVE", 4);
    for (size_t at = 12; at + 8 <= wave.length;) {
        const unsigned char *chunk = wave.file + at;
        uint64_t size = little(chunk + 4, 4);
        if (memcmp(chunk, "ds64", 4) == 0) {
            wave.riff_size = little(chunk + 8, 8);
            wave.data_size = little(chunk + 16, 8);
            wave.samples = little(chunk + 24, 8);
        } else if (memcmp(chunk, "fmt ", 4) == 0) {
            read_format(&wave, chunk + 8);
        } else if (memcmp(chunk, "data", 4) == 0) {
            assert_true(!wave.rf64 || size == UINT32_MAX);
            wave.data_size = size = wave.rf64 ? wave.data_size : size;
            wave.data = chunk + 8;
        } else {
            strncat(wave.others, (const char *)chunk, 4);
        }
        at += 8 + size + size % 2;
    }
    assert_non_null(wave.data);
    assert_int_equal(wave.riff_size, wave.length - 8);
    return wave;
}

static int32_t whole_sample(const struct wave *wave, size_t i)
{
    int bytes = (int)wave->bits / 8;
    uint32_t raw = (uint32_t)little(wave->data + i * (size_t)bytes, bytes) << (32 - wave->bits);
    return (int32_t)raw / (int32_t)(1u << (32 - wave->bits));
}

/* ---- writing ---- */

/* Anything between -1.1 and 1.1, and the edges. */
static float *some_sound(long frames)
{
    static const float edges[] = {0.0f,      -0.0f,     1.0f,      -1.0f,     2.0f,      -2.0f,
                                  INFINITY,  -INFINITY, NAN,       0x1p-24f,  -0x1p-24f, 0x1.8p-23f,
                                  0x1p-149f, 0x1p-16f,  -0x1p-16f, 0x1.8p-15f};
    struct hf_random random;
    float *stereo = malloc((size_t)frames * 2 * sizeof *stereo);
    assert_non_null(stereo);
    hf_random_init(&random, 7, 99);
    for (long i = 0; i < frames * 2; i++)
        stereo[i] = i < 16 ? edges[i] : 2.2f * hf_random_unit(&random) - 1.1f;
    return stereo;
}

static enum hf_status save(const char *name, int bits, const float *stereo, long frames, long piece,
                           struct hf_diag *diag)
{
    struct hf_soundfile *file = NULL;
    struct hf_soundfile_form form = {.rate_hz = RATE, .bits = bits, .frames = frames, .seed = 5};
    enum hf_status status = hf_soundfile_open(&file, scratch(name), &form, diag);
    if (status != HF_OK) {
        assert_null(file);
        return status;
    }
    for (long at = 0; at < frames && status == HF_OK; at += piece)
        status = hf_soundfile_write(file, stereo + at * 2,
                                    frames - at < piece ? frames - at : piece, diag);
    if (status == HF_OK)
        return hf_soundfile_commit(file, diag);
    hf_soundfile_discard(file);
    return status;
}

/* derived: the rule of soundfile.h, with the C library's rounding (ties to even by default) */
static double expected(double x, double scale, double dither)
{
    double y = isnan(x) ? dither : x * scale + dither;
    return fmin(fmax(rint(y), -scale), scale - 1);
}

static void a_24_bit_file_holds_the_nearest_numbers(void **state)
{
    (void)state;
    long frames = 10007;
    float *stereo = some_sound(frames);
    assert_int_equal(save("a.wav", 24, stereo, frames, 1024, NULL), HF_OK);
    struct wave wave = parse("a.wav");
    assert_false(wave.rf64);
    assert_int_equal(wave.tag, 1);
    assert_int_equal(wave.channels, 2);
    assert_int_equal(wave.rate, RATE);
    assert_int_equal(wave.block, 6);
    assert_int_equal(wave.bits, 24);
    assert_string_equal(wave.others, "");
    assert_int_equal(wave.data_size, frames * 6);
    for (long i = 0; i < frames * 2; i++)
        assert_true(whole_sample(&wave, (size_t)i) == expected((double)stereo[i], 0x1p23, 0));
    free(wave.file);
    free(stereo);
}

static void a_16_bit_file_holds_the_dithered_numbers(void **state)
{
    (void)state;
    long frames = 10007;
    float *stereo = some_sound(frames);
    struct hf_random dither;
    hf_random_init(&dither, 5, HF_STREAM_DITHER);
    assert_int_equal(save("a.wav", 16, stereo, frames, 1024, NULL), HF_OK);
    struct wave wave = parse("a.wav");
    assert_int_equal(wave.tag, 1);
    assert_int_equal(wave.block, 4);
    assert_int_equal(wave.bits, 16);
    assert_int_equal(wave.data_size, frames * 4);
    for (long i = 0; i < frames * 2; i++) {
        double first = (double)hf_random_unit(&dither);
        double noise = first - (double)hf_random_unit(&dither);
        assert_true(whole_sample(&wave, (size_t)i) == expected((double)stereo[i], 0x1p15, noise));
    }
    free(wave.file);
    free(stereo);
}

static void what_is_no_number_is_written_as_silence(void **state)
{
    (void)state;
    enum { DRAWS = 64 };
    float nothing[DRAWS], silence[DRAWS] = {0};
    int32_t out_24[DRAWS];
    int16_t out_16[DRAWS], silent_16[DRAWS];
    struct hf_random one, other;
    for (int i = 0; i < DRAWS; i++)
        nothing[i] = NAN;
    hf_soundfile_to_24(nothing, DRAWS, out_24);
    for (int i = 0; i < DRAWS; i++)
        assert_int_equal(out_24[i], 0);
    hf_random_init(&one, 3, HF_STREAM_DITHER);
    hf_random_init(&other, 3, HF_STREAM_DITHER);
    hf_soundfile_to_16(&one, nothing, DRAWS, out_16);
    hf_soundfile_to_16(&other, silence, DRAWS, silent_16);
    assert_memory_equal(out_16, silent_16, sizeof out_16);
}

/* derived: with triangular dither of 2 steps the total error has mean 0 and variance 1/4 step^2
 * (Lipshitz and others 1992), whatever the sound is; 4 standard errors over 200000 draws */
static void dither_makes_the_error_independent_of_the_sound(void **state)
{
    (void)state;
    enum { DRAWS = 200000 };
    static float sound[DRAWS];
    static int16_t out[DRAWS];
    for (int level = 0; level < 8; level++) {
        double sum = 0, squares = 0;
        struct hf_random dither;
        for (int i = 0; i < DRAWS; i++)
            sound[i] = (float)(level / 8.0) * 0x1p-15f;
        hf_random_init(&dither, 1, HF_STREAM_DITHER);
        hf_soundfile_to_16(&dither, sound, DRAWS, out);
        for (int i = 0; i < DRAWS; i++) {
            double error = out[i] - level / 8.0;
            sum += error;
            squares += error * error;
        }
        assert_true(fabs(sum / DRAWS) < 4 * 0.5 / sqrt(DRAWS));
        assert_true(fabs(squares / DRAWS - 0.25) < 0.005);
    }
}

static void a_float_file_holds_the_samples_as_they_are(void **state)
{
    (void)state;
    long frames = 4099;
    float *stereo = some_sound(frames);
    assert_int_equal(save("a.wav", HF_SOUNDFILE_FLOAT, stereo, frames, 997, NULL), HF_OK);
    struct wave wave = parse("a.wav");
    assert_int_equal(wave.tag, 3); /* WAVE_FORMAT_IEEE_FLOAT */
    assert_int_equal(wave.bits, 32);
    assert_int_equal(wave.data_size, frames * 8);
    assert_null(strstr(wave.others, "PEAK"));
    for (long i = 0; i < frames * 2; i++) {
        uint32_t bits;
        memcpy(&bits, &stereo[i], sizeof bits);
        assert_int_equal(little(wave.data + i * 4, 4), bits);
    }
    free(wave.file);
    free(stereo);
}

/* FLAC is lossless (RFC 9639): the numbers are those of the WAV file, read by libsndfile. */
static void a_flac_file_holds_the_same_numbers_as_a_wav_file(void **state)
{
    (void)state;
    static const int bits[] = {16, 24};
    long frames = 30000;
    float *stereo = some_sound(frames);
    int *numbers[2] = {malloc((size_t)frames * 2 * sizeof(int)),
                       malloc((size_t)frames * 2 * sizeof(int))};
    assert_true(numbers[0] && numbers[1]);
    for (int i = 0; i < 2; i++) {
        static const char *const names[] = {"a.wav", "a.FLAC"};
        for (int j = 0; j < 2; j++) {
            SF_INFO info = {0};
            assert_int_equal(save(names[j], bits[i], stereo, frames, 999, NULL), HF_OK);
            SNDFILE *file = sf_open(scratch(names[j]), SFM_READ, &info);
            assert_non_null(file);
            assert_int_equal(info.format & SF_FORMAT_TYPEMASK, j ? SF_FORMAT_FLAC : SF_FORMAT_WAV);
            assert_int_equal(info.frames, frames);
            assert_int_equal(sf_readf_int(file, numbers[j], frames), frames);
            sf_close(file);
        }
        assert_memory_equal(numbers[0], numbers[1], (size_t)frames * 2 * sizeof(int));
    }
    free(numbers[0]);
    free(numbers[1]);
    free(stereo);
}

static void libsndfile_reads_what_was_written(void **state)
{
    (void)state;
    static const int bits[] = {16, 24, HF_SOUNDFILE_FLOAT};
    static const int subtypes[] = {SF_FORMAT_PCM_16, SF_FORMAT_PCM_24, SF_FORMAT_FLOAT};
    long frames = 5000;
    float *stereo = some_sound(frames);
    for (int i = 0; i < 3; i++) {
        SF_INFO info = {0};
        assert_int_equal(save("a.WAV", bits[i], stereo, frames, 4096, NULL), HF_OK);
        SNDFILE *file = sf_open(scratch("a.WAV"), SFM_READ, &info);
        assert_non_null(file);
        assert_int_equal(info.frames, frames);
        assert_int_equal(info.channels, 2);
        assert_int_equal(info.samplerate, RATE);
        assert_int_equal(info.format, SF_FORMAT_WAV | subtypes[i]);
        float *back = malloc((size_t)frames * 2 * sizeof *back);
        assert_non_null(back);
        assert_int_equal(sf_readf_float(file, back, frames), frames);
        for (long k = 16; k < frames * 2; k++) {
            double x = fmin(fmax((double)stereo[k], -1), 1);
            double step = bits[i] == 16 ? 1.5 * 0x1p-15 : bits[i] == 24 ? 1.01 * 0x1p-23 : 0;
            double y = bits[i] == HF_SOUNDFILE_FLOAT ? (double)stereo[k] : x;
            assert_true(fabs((double)back[k] - y) <= step);
        }
        free(back);
        sf_close(file);
    }
    free(stereo);
}

static void the_file_is_the_same_for_any_pieces_and_every_time(void **state)
{
    (void)state;
    static const int bits[] = {16, 24, HF_SOUNDFILE_FLOAT};
    static const long pieces[] = {1, 7, 64, 997, 2048, 5000, 9001};
    long frames = 9001;
    float *stereo = some_sound(frames);
    for (int i = 0; i < 3; i++) {
        size_t length = 0;
        assert_int_equal(save("a.wav", bits[i], stereo, frames, frames, NULL), HF_OK);
        unsigned char *first = scratch_read("a.wav", &length);
        for (size_t p = 0; p < sizeof pieces / sizeof pieces[0]; p++) {
            size_t again = 0;
            assert_int_equal(save("b.wav", bits[i], stereo, frames, pieces[p], NULL), HF_OK);
            unsigned char *bytes = scratch_read("b.wav", &again);
            assert_int_equal(again, length);
            assert_memory_equal(bytes, first, length);
            free(bytes);
        }
        free(first);
    }
    free(stereo);
}

static void fewer_frames_than_promised_make_a_shorter_file(void **state)
{
    (void)state;
    static const float silence[200] = {0};
    struct hf_soundfile *file = NULL;
    struct hf_soundfile_form form = {.rate_hz = RATE, .bits = 24, .frames = 100};
    assert_int_equal(hf_soundfile_open(&file, scratch("a.wav"), &form, NULL), HF_OK);
    assert_int_equal(hf_soundfile_write(file, silence, 60, NULL), HF_OK);
    assert_int_equal(hf_soundfile_write(file, silence, 41, NULL), HF_E_BUG);
    assert_int_equal(hf_soundfile_commit(file, NULL), HF_OK);
    struct wave wave = parse("a.wav");
    assert_int_equal(wave.data_size, 60 * 6);
    free(wave.file);
    assert_int_equal(save("none.wav", 24, silence, 0, 1, NULL), HF_OK);
    wave = parse("none.wav");
    assert_int_equal(wave.data_size, 0);
    free(wave.file);
}

/* derived: a WAV counts at most 2^32 - 1 bytes, of which 4096 are kept for headers */
static void past_4_gib_the_file_is_rf64(void **state)
{
    (void)state;
    static const int bits[] = {16, 24, HF_SOUNDFILE_FLOAT};
    static const int64_t most[] = {1073740799, 715827199, 536870399};
    float *stereo = some_sound(100);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(most[i], (INT64_C(4294967295) - 4096) / (2 * bits[i] / 8));
        for (int past = 0; past <= 1; past++) {
            struct hf_soundfile *file = NULL;
            struct hf_soundfile_form form = {
                .rate_hz = RATE, .bits = bits[i], .frames = most[i] + past, .seed = 5};
            assert_int_equal(hf_soundfile_open(&file, scratch("a.wav"), &form, NULL), HF_OK);
            assert_int_equal(hf_soundfile_write(file, stereo, 100, NULL), HF_OK);
            assert_int_equal(hf_soundfile_commit(file, NULL), HF_OK);
            struct wave wave = parse("a.wav");
            assert_int_equal(wave.rf64, past);
            assert_int_equal(wave.tag, bits[i] == HF_SOUNDFILE_FLOAT ? 3 : 1);
            assert_int_equal(wave.bits, bits[i]);
            assert_int_equal(wave.data_size, 100 * 2 * bits[i] / 8);
            assert_true(!past || wave.samples == 100);
            free(wave.file);
        }
    }
    free(stereo);
}

static void what_cannot_be_is_refused_with_what_can(void **state)
{
    (void)state;
    static const float silence[2] = {0};
    static const struct {
        const char *name;
        int bits;
        enum hf_status status;
        const char *word;
    } rows[] = {
        {"a.aif", 24, HF_E_USAGE, "known: .wav"},
        {"wav", 24, HF_E_USAGE, "known: .wav"},
        {"a", 24, HF_E_USAGE, "known: .wav"},
        {"a.wav", 8, HF_E_USAGE, "16, 24 or float"},
        {"a.wav", 0, HF_E_USAGE, "16, 24 or float"},
        {"no/a.wav", 24, HF_E_CREATE, "No such file"},
        {"dir.wav", 24, HF_E_CREATE, "a directory"},
        {"a.flac", HF_SOUNDFILE_FLOAT, HF_E_USAGE, "16 or 24 bits, not float"},
        {"a.m4a", 24, HF_E_USAGE, ".wav, .flac, .ogg, .opus, .mp3)"},
    };
    assert_int_equal(mkdir(scratch("dir.wav"), 0700), 0);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hf_diag diag = {0};
        assert_int_equal(save(rows[i].name, rows[i].bits, silence, 1, 1, &diag), rows[i].status);
        assert_non_null(strstr(diag.message, rows[i].word));
    }
    assert_int_equal(scratch_count(NULL), 1);
}

static void discarding_leaves_the_old_file(void **state)
{
    (void)state;
    static const float silence[2] = {0};
    struct hf_soundfile *file = NULL;
    struct hf_soundfile_form form = {.rate_hz = RATE, .bits = 24, .frames = 1};
    scratch_write("a.wav", "old", 3);
    assert_int_equal(hf_soundfile_open(&file, scratch("a.wav"), &form, NULL), HF_OK);
    assert_int_equal(hf_soundfile_write(file, silence, 1, NULL), HF_OK);
    hf_soundfile_discard(file);
    hf_soundfile_discard(NULL);
    assert_true(scratch_is("a.wav", "old"));
    assert_int_equal(scratch_count(NULL), 1);
}

static void short_and_interrupted_calls_lose_nothing(void **state)
{
    (void)state;
    float *stereo = some_sound(3000);
    size_t plain_length = 0, hard_length = 0;
    assert_int_equal(save("plain.wav", 24, stereo, 3000, 1000, NULL), HF_OK);
    faults.most = 101;
    faults.interrupted = true;
    enum hf_status status = save("hard.wav", 24, stereo, 3000, 1000, NULL);
    faults_end();
    assert_int_equal(status, HF_OK);
    unsigned char *plain = scratch_read("plain.wav", &plain_length);
    unsigned char *hard = scratch_read("hard.wav", &hard_length);
    assert_int_equal(plain_length, hard_length);
    assert_memory_equal(plain, hard, plain_length);
    free(plain);
    free(hard);
    free(stereo);
}

static void a_full_disk_is_noticed_while_writing(void **state)
{
    (void)state;
    struct hf_diag diag = {0};
    struct hf_soundfile *file = NULL;
    struct hf_soundfile_form form = {.rate_hz = RATE, .bits = 24, .frames = 100000};
    float *stereo = some_sound(100000);
    assert_int_equal(hf_soundfile_open(&file, scratch("a.wav"), &form, NULL), HF_OK);
    faults_arm(false, 5, true, ENOSPC);
    enum hf_status status = hf_soundfile_write(file, stereo, 100000, &diag);
    faults_end();
    hf_soundfile_discard(file);
    assert_int_equal(status, HF_E_IO);
    assert_non_null(strstr(diag.message, "No space left"));
    assert_non_null(strstr(diag.message, "a.wav"));
    assert_int_equal(scratch_count(NULL), 0);
    free(stereo);
}

static void a_file_that_lost_its_end_is_not_taken(void **state)
{
    (void)state;
    char part[64];
    struct hf_diag diag = {0};
    struct hf_soundfile *file = NULL;
    struct hf_soundfile_form form = {.rate_hz = RATE, .bits = 24, .frames = 10000};
    float *stereo = some_sound(10000);
    assert_int_equal(hf_soundfile_open(&file, scratch("a.wav"), &form, NULL), HF_OK);
    assert_int_equal(hf_soundfile_write(file, stereo, 10000, NULL), HF_OK);
    snprintf(part, sizeof part, ".holdfast-%u-0.part", (unsigned)getpid());
    assert_int_equal(truncate(scratch(part), 30000), 0);
    assert_int_equal(hf_soundfile_commit(file, &diag), HF_E_IO);
    assert_non_null(strstr(diag.message, "does not read back"));
    assert_int_equal(scratch_count(NULL), 0);
    free(stereo);
}

/* Fails the nth call for every n; returns how many there were. */
static long fail_every_call(const char *name, bool memory, bool stay, int error,
                            const float *stereo, long frames)
{
    static const char old[] = "the old file";
    for (long nth = 1;; nth++) {
        struct hf_diag diag = {0};
        scratch_write(name, old, strlen(old));
        faults_arm(memory, nth, stay, error);
        enum hf_status status = save(name, 16, stereo, frames, 4096, &diag);
        long struck = faults_end();
        assert_int_equal(scratch_count(NULL), 1);
        if (!struck) {
            assert_int_equal(status, HF_OK);
            return nth - 1;
        }
        if (!scratch_is(name, old)) { /* all was done, but for the directory's sync */
            SF_INFO info = {0};
            SNDFILE *file = sf_open(scratch(name), SFM_READ, &info);
            assert_non_null(file);
            assert_int_equal(info.frames, frames);
            sf_close(file);
        } else {
            assert_int_not_equal(status, HF_OK);
        }
        assert_true(status == HF_OK || diag.message[0] != '\0');
    }
}

static void a_failure_of_any_call_leaves_the_old_file_or_the_whole_new_one(void **state)
{
    (void)state;
    static const int errors[] = {ENOSPC, EIO, EDQUOT};
    long frames = 10000;
    float *stereo = some_sound(frames);
    for (size_t i = 0; i < sizeof errors / sizeof errors[0]; i++)
        for (int stay = 0; stay <= 1; stay++)
            assert_true(fail_every_call("a.wav", false, stay, errors[i], stereo, frames) > 20);
    for (int stay = 0; stay <= 1; stay++)
        assert_true(fail_every_call("a.wav", true, stay, 0, stereo, frames) >= 4);
    free(stereo);
}

/* FLAC says nothing of a full disk by itself. */
static void a_failure_of_any_call_is_noticed_for_flac_too(void **state)
{
    (void)state;
    long frames = 10000;
    float *stereo = some_sound(frames);
    for (int stay = 0; stay <= 1; stay++)
        assert_true(fail_every_call("a.flac", false, stay, ENOSPC, stereo, frames) > 5);
    free(stereo);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, scratch_make, scratch_remove)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_24_bit_file_holds_the_nearest_numbers),
        TEST(a_16_bit_file_holds_the_dithered_numbers),
        TEST(what_is_no_number_is_written_as_silence),
        TEST(dither_makes_the_error_independent_of_the_sound),
        TEST(a_float_file_holds_the_samples_as_they_are),
        TEST(a_flac_file_holds_the_same_numbers_as_a_wav_file),
        TEST(libsndfile_reads_what_was_written),
        TEST(the_file_is_the_same_for_any_pieces_and_every_time),
        TEST(fewer_frames_than_promised_make_a_shorter_file),
        TEST(past_4_gib_the_file_is_rf64),
        TEST(what_cannot_be_is_refused_with_what_can),
        TEST(discarding_leaves_the_old_file),
        TEST(short_and_interrupted_calls_lose_nothing),
        TEST(a_full_disk_is_noticed_while_writing),
        TEST(a_file_that_lost_its_end_is_not_taken),
        TEST(a_failure_of_any_call_is_noticed_for_flac_too),
        TEST(a_failure_of_any_call_leaves_the_old_file_or_the_whole_new_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
