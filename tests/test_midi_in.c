/* SPDX-License-Identifier: MIT */
/* A MIDI input through the seam, with devices that the test makes up: which one a name means, what
 * is read, what happens when it goes away. */
#include "check.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/midi_in.h>

static const char *names[5];
static int count, opened, closed, at;
static bool opens;
static const int *script; /* three numbers a message; -1: gone, -2: none now */

static int fake_count(void *self)
{
    (void)self;
    return count;
}

static bool fake_name(void *self, int index, char name[HF_MIDI_NAME])
{
    (void)self;
    if (!names[index])
        return false;
    snprintf(name, HF_MIDI_NAME, "%s", names[index]);
    return true;
}

static bool fake_open(void *self, int index)
{
    (void)self;
    opened = index;
    return opens;
}

static int fake_read(void *self, struct hf_midi_message *out)
{
    (void)self;
    if (script[at] < 0)
        return script[at] == -1 ? -1 : 0;
    *out = (struct hf_midi_message){(uint8_t)script[at], (uint8_t)script[at + 1],
                                    (uint8_t)script[at + 2]};
    at += 3;
    return 1;
}

static void fake_close(void *self)
{
    (void)self;
    closed++;
}

static const struct hf_midi_system fake = {fake_count, fake_name,  fake_open,
                                           fake_read,  fake_close, NULL};

static struct hf_midi *midi;
static struct hf_diag diag;

static enum hf_status begin(const char *wish)
{
    static const char *const all[] = {"Foot", "Foot pedal MIDI 1", "Keys MIDI 1", NULL,
                                      "evil \033[31m name"};
    memcpy(names, all, sizeof names);
    opened = -1;
    closed = at = 0;
    opens = true;
    return hf_midi_open(&midi, &fake, wish, &diag);
}

static void a_name_or_a_part_of_it_means_one_input(void **state)
{
    (void)state;
    static const struct {
        const char *wish;
        int index; /* -1: refused */
    } rows[] = {{"Foot", 0},   {"foot", 0},  {"pedal", 1},          {"FOOT PEDAL MIDI 1", 1},
                {"keys", 2},   {"MIDI", -1}, {"MIDI 1", -1},        {"organ", -1},
                {"evil ?", 4}, {"\033", -1}, {"evil ?[31m name", 4}};
    count = 5;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        enum hf_status status = begin(rows[i].wish);
        assert_int_equal(status, rows[i].index < 0 ? HF_E_DEVICE : HF_OK);
        assert_int_equal(opened, rows[i].index);
        if (status == HF_OK)
            hf_midi_close(midi);
        assert_int_equal(closed, 1); /* the library too, when nothing was opened */
    }
}

static void what_is_refused_is_told(void **state)
{
    (void)state;
    count = 3;
    assert_int_equal(begin("MIDI"), HF_E_DEVICE);
    assert_string_equal(diag.message, "several MIDI inputs are called \"MIDI\"");
    assert_string_equal(diag.advice, "there are: Foot, Foot pedal MIDI 1, Keys MIDI 1");
    count = 0;
    assert_int_equal(begin("MIDI"), HF_E_DEVICE);
    assert_string_equal(diag.advice, "there is none");
    count = -1; /* the library can't be started */
    assert_int_equal(begin("MIDI"), HF_E_DEVICE);
    assert_int_equal(hf_midi_open(&midi, NULL, "MIDI", &diag), HF_E_USAGE);
    assert_string_equal(diag.message, "MIDI is not in this build");
    count = 3;
    opens = false;
    opened = closed = 0;
    assert_int_equal(hf_midi_open(&midi, &fake, "Foot", &diag), HF_E_DEVICE);
    assert_string_equal(diag.message, "the MIDI input \"Foot\" can't be opened");
    assert_int_equal(closed, 1);
    hf_midi_close(NULL);
}

/* published: MIDI 1.0: channel messages begin with 80 to EF; F0 and over are of the system */
static void channel_messages_are_read_and_others_passed_over(void **state)
{
    (void)state;
    static const int messages[] = {0xb0, 64,   127, 0xf8, 0,    0, 0xfe, 0,
                                   0,    0x91, 60,  1,    0x12, 1, 1,    -2};
    struct hf_midi_message message;
    count = 3;
    script = messages;
    assert_ok(begin("Foot"));
    assert_true(hf_midi_read(midi, &message));
    assert_int_equal(message.data_1, 64);
    assert_true(hf_midi_read(midi, &message));
    assert_int_equal(message.status, 0x91);
    assert_false(hf_midi_read(midi, &message));
    assert_false(hf_midi_read(midi, &message));
    assert_true(hf_midi_alive(midi));
    assert_string_equal(hf_midi_name(midi), "Foot");
    hf_midi_close(midi);
}

static void a_clock_without_end_does_not_keep_the_caller(void **state)
{
    (void)state;
    static int clock[3 * 2000];
    struct hf_midi_message message;
    for (int i = 0; i < 2000; i++)
        clock[3 * i] = 0xf8;
    count = 3;
    script = clock;
    assert_ok(begin("Foot"));
    assert_false(hf_midi_read(midi, &message));
    assert_true(at < 3 * 1000);
    assert_true(hf_midi_alive(midi));
    hf_midi_close(midi);
}

static void an_input_that_is_gone_stays_so(void **state)
{
    (void)state;
    static const int gone[] = {0xb0, 64, 0, -1};
    static const int again[] = {0xb0, 64, 0, 0xb0, 64, 0, -2};
    struct hf_midi_message message;
    count = 3;
    script = gone;
    assert_ok(begin("Foot"));
    assert_true(hf_midi_read(midi, &message));
    assert_false(hf_midi_read(midi, &message));
    assert_false(hf_midi_alive(midi));
    script = again;
    assert_false(hf_midi_read(midi, &message));
    hf_midi_close(midi);
    assert_int_equal(closed, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_name_or_a_part_of_it_means_one_input),
        cmocka_unit_test(what_is_refused_is_told),
        cmocka_unit_test(channel_messages_are_read_and_others_passed_over),
        cmocka_unit_test(a_clock_without_end_does_not_keep_the_caller),
        cmocka_unit_test(an_input_that_is_gone_stays_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
