/* SPDX-License-Identifier: MIT */
/* Bytes of terminals and messages of MIDI into the names of keys, and what keys do. */
#include "check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "../src/cli/keymap.h"

/* Feeds all bytes; the name of the last key that was complete, NULL for none. */
static const char *feed(const char *bytes)
{
    static char name[KEY_NAME];
    struct key_reader reader = {{0}, 0};
    bool complete = false;
    for (; *bytes; bytes++)
        complete = key_feed(&reader, (unsigned char)*bytes, name);
    return complete ? name : NULL;
}

static void assert_name(const char *bytes, const char *name)
{
    const char *fed = feed(bytes);
    if (!fed || strcmp(fed, name) != 0)
        fail_msg("%s where %s was expected", fed ? fed : "nothing", name);
}

static void keys_are_those_of_the_contract(void **state)
{
    (void)state;
    /* published: the list of keys in the interface contract; sequences: ECMA-48, xterm */
    static const struct {
        const char *bytes;
        enum hf_key key;
    } rows[] = {{" ", HF_KEY_STAY},        {"p", HF_KEY_PAUSE},       {"\n", HF_KEY_NEXT},
                {"\r", HF_KEY_NEXT},       {"\033[C", HF_KEY_NEXT},   {"\033OC", HF_KEY_NEXT},
                {"\033[6~", HF_KEY_NEXT},  {"\033[D", HF_KEY_AGAIN},  {"\033OD", HF_KEY_AGAIN},
                {"\033[5~", HF_KEY_AGAIN}, {"r", HF_KEY_REVEAL},      {"g", HF_KEY_GOT},
                {"m", HF_KEY_MISSED},      {"q", HF_KEY_QUIT},        {"1", HF_KEY_CHOICE_1},
                {"6", HF_KEY_CHOICE_6},    {"0", HF_KEY_CHOICE_NONE}, {"9", HF_KEY_CHOICE_9},
                {"\033[A", HF_KEY_LOUDER}, {"\033OB", HF_KEY_SOFTER}, {"\033[B", HF_KEY_SOFTER},
                {"\033OA", HF_KEY_LOUDER}};
    struct keymap map;
    keymap_init(&map);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        enum control control = keymap_look(&map, feed(rows[i].bytes));
        assert_true(control < CONTROL_HELP);
        assert_int_equal(control_key(control), rows[i].key);
    }
    assert_int_equal(keymap_look(&map, feed("?")), CONTROL_HELP);
    assert_int_equal(keymap_look(&map, feed("x")), CONTROL_NONE);
    assert_int_equal(keymap_look(&map, ""), CONTROL_NONE);
}

/* The value of a capability as infocmp prints it, into bytes. */
static void bytes_of(const char *text, char *out, size_t size)
{
    size_t used = 0;
    for (; *text && *text != '\n' && !(text[0] == ',' && text[1] == '\n') && used < size - 1;
         text++) {
        if (text[0] == '\\' && text[1] == 'E') {
            out[used++] = '\033';
            text++;
        } else if (text[0] == '\\' && text[1] >= '0' && text[1] <= '7') {
            out[used++] = (char)strtol((char[]){text[1], text[2], text[3], 0}, NULL, 8);
            text += 3;
        } else if (text[0] == '^') {
            out[used++] = (char)(*++text == '?' ? 0x7f : *text & 0x1f);
        } else {
            out[used++] = *text;
        }
    }
    out[used] = 0;
}

/* published: the terminfo data base of the system; capabilities: terminfo(5) */
static void the_keys_of_common_terminals_are_known(void **state)
{
    (void)state;
    static const char *const terminals[] = {"xterm",  "xterm-256color", "linux",        "screen",
                                            "tmux",   "rxvt",           "vt220",        "vt102",
                                            "cygwin", "Eterm",          "screen.xterm", "xterm-r6"};
    static const struct {
        const char *capability, *name;
    } keys[] = {{"kcuu1", "Up"},     {"kcud1", "Down"},    {"kcub1", "Left"}, {"kcuf1", "Right"},
                {"kpp", "Page-Up"},  {"knp", "Page-Down"}, {"khome", "Home"}, {"kend", "End"},
                {"kich1", "Insert"}, {"kdch1", "Delete"},  {"kf1", "F1"},     {"kf5", "F5"},
                {"kf10", "F10"},     {"kf12", "F12"}};
    int checked = 0;
    for (size_t i = 0; i < sizeof terminals / sizeof terminals[0]; i++) {
        char command[80], line[256], bytes[32];
        snprintf(command, sizeof command, "infocmp -1 %s 2>/dev/null", terminals[i]);
        FILE *lines = popen(command, "r");
        while (lines && fgets(line, sizeof line, lines))
            for (size_t j = 0; j < sizeof keys / sizeof keys[0]; j++) {
                size_t length = strlen(keys[j].capability);
                if (strncmp(line + 1, keys[j].capability, length) != 0 || line[length + 1] != '=')
                    continue;
                bytes_of(line + length + 2, bytes, sizeof bytes);
                const char *name = feed(bytes);
                /* vt220 and older ones name keys of their own, such as Find, in these places */
                if ((!name || strcmp(name, keys[j].name) != 0) && terminals[i][0] != 'v')
                    fail_msg("%s of %s is %s", keys[j].capability, terminals[i],
                             name ? name : "nothing");
                checked++;
            }
        if (lines)
            pclose(lines);
    }
    assert_true(checked > 50); /* xterm, linux and screen at least are on every Debian */
}

static void unknown_sequences_are_swallowed_whole(void **state)
{
    (void)state;
    /* an unknown key whose sequence has letters of keys in it: none of them may act */
    static const char *const sequences[] = {
        "\033[1;5q", "\033[200~", "\033[15;2~", "\033Og", "\033[99999999999999999999m",
        "\033[[q",   "\033q",     "\x01",       "\033"};
    struct keymap map;
    keymap_init(&map);
    for (size_t i = 0; i < sizeof sequences / sizeof sequences[0]; i++) {
        struct key_reader reader = {{0}, 0};
        char name[KEY_NAME];
        for (const char *c = sequences[i]; *c; c++)
            if (key_feed(&reader, (unsigned char)*c, name))
                assert_int_equal(keymap_look(&map, name), CONTROL_NONE);
        if (strlen(sequences[i]) > 1) { /* and the key after it is heard */
            assert_true(key_feed(&reader, 'g', name));
            assert_string_equal(name, "g");
        }
    }
}

/* derived: UTF-8 as Unicode 15, table 3-7 has it: a character is whole, or no key at all, and what
 * follows broken bytes is heard */
static void characters_beyond_ascii_are_keys_when_they_are_whole(void **state)
{
    (void)state;
    assert_name("\xc3\xa4", "\xc3\xa4");
    assert_name("\xe2\x99\xaf", "\xe2\x99\xaf");
    assert_name("\xf0\x9d\x84\x9e", "\xf0\x9d\x84\x9e");
    assert_null(feed("\xc3"));
    assert_null(feed("\xa4"));
    assert_null(feed("\xff"));
    assert_name("\xc3g", "g");
    assert_name("\xe2\x99g", "g");
    assert_name("\xe2\033[A", "Up");
    assert_name("\xed\xa0\x80", ""); /* a surrogate */
    assert_name("\xc2\x9b", "");     /* a control that some terminals obey */
}

static void any_bytes_do_no_harm(void **state)
{
    (void)state;
    struct key_reader reader = {{0}, 0};
    char name[KEY_NAME] = "";
    uint32_t random = 1;
    for (int i = 0; i < 2000000; i++) {
        random = random * 1664525u + 1013904223u;
        key_feed(&reader, (unsigned char)(random >> 24), name);
        assert_true(strlen(name) < KEY_NAME);
    }
}

/* published: MIDI 1.0: status 8n note off, 9n note on (velocity 0 is off), Bn controller (64
 * sustain, on from 64), Cn program change */
static void midi_messages_are_keys(void **state)
{
    (void)state;
    static const struct {
        unsigned status, data_1, data_2;
        enum midi_press press;
        const char *name;
    } rows[] = {{0xb0, 64, 127, MIDI_PRESS, "Pedal"},
                {0xb5, 64, 64, MIDI_PRESS, "Pedal"},
                {0xb0, 64, 63, MIDI_RELEASE, "Pedal"},
                {0xb0, 64, 0, MIDI_RELEASE, "Pedal"},
                {0xb0, 80, 127, MIDI_PRESS, "Control-80"},
                {0x90, 60, 1, MIDI_PRESS, "Note-60"},
                {0x9f, 60, 0, MIDI_RELEASE, "Note-60"},
                {0x80, 0, 64, MIDI_RELEASE, "Note-0"},
                {0xc3, 0, 0, MIDI_PRESS_ONLY, "Program-1"},
                {0xc3, 127, 0, MIDI_PRESS_ONLY, "Program-128"},
                {0xf8, 0, 0, MIDI_NOTHING, ""},
                {0xe0, 0, 64, MIDI_NOTHING, ""},
                {0x90, 128, 1, MIDI_NOTHING, ""},
                {0x90, 1, 200, MIDI_NOTHING, ""}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char name[KEY_NAME];
        assert_int_equal(key_midi(rows[i].status, rows[i].data_1, rows[i].data_2, name),
                         rows[i].press);
        assert_string_equal(name, rows[i].name);
        char typed[KEY_NAME];
        if (name[0]) { /* and a file can name it */
            assert_true(key_named(name, typed));
            assert_string_equal(typed, name);
        }
    }
}

/* ---- key files ------------------------------------------------------------------------------- */

static struct keymap map;
static struct hf_diag diag;

static enum hf_status read(const char *text)
{
    keymap_init(&map);
    return keymap_read(&map, text, strlen(text), "my.keys", &diag);
}

static void a_file_changes_what_keys_do(void **state)
{
    (void)state;
    assert_ok(read("# my pedal\n[keys]\nnext = b Page-Down\n  \nagain=page-up\n; louder = x\n"
                   "got = F5 \xc3\xa4 note-60 control-64\nquit = none\npause = =\n"));
    static const struct {
        const char *key;
        enum control does;
    } rows[] = {{"b", CONTROL_NEXT},      {"Page-Down", CONTROL_NEXT}, {"Enter", CONTROL_NONE},
                {"Right", CONTROL_NONE},  {"Page-Up", CONTROL_AGAIN},  {"Left", CONTROL_NONE},
                {"F5", CONTROL_GOT},      {"\xc3\xa4", CONTROL_GOT},   {"g", CONTROL_NONE},
                {"Note-60", CONTROL_GOT}, {"Pedal", CONTROL_GOT},      {"q", CONTROL_NONE},
                {"=", CONTROL_PAUSE},     {"p", CONTROL_NONE},         {"Space", CONTROL_STAY},
                {"Up", CONTROL_LOUDER},   {"m", CONTROL_MISSED}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_int_equal(keymap_look(&map, rows[i].key), rows[i].does);
}

static void a_key_of_the_file_does_nothing_else(void **state)
{
    (void)state;
    assert_ok(read("stay = p\n"));
    assert_int_equal(keymap_look(&map, "p"), CONTROL_STAY);
    assert_int_equal(keymap_look(&map, "Space"), CONTROL_NONE);
    assert_ok(read("pause = Space\nstay = p\n"));
    assert_int_equal(keymap_look(&map, "Space"), CONTROL_PAUSE);
    assert_int_equal(keymap_look(&map, "p"), CONTROL_STAY);
    assert_ok(
        read("pause = Space")); /* then stay has no key left, and that is what was asked for */
    assert_int_equal(keymap_look(&map, "p"), CONTROL_NONE);
    assert_ok(read(""));
    assert_int_equal(keymap_look(&map, "Space"), CONTROL_STAY);
}

static void a_wrong_file_is_told_where_and_what_is_allowed(void **state)
{
    (void)state;
    static const struct {
        const char *text, *message;
    } rows[] = {
        {"next = b\nnxt = c\n",
         "my.keys:2: no action \"nxt\" (allowed: stay, pause, next, again, "},
        {"\n\nnext = PgDn\n", "my.keys:3: no key \"PgDn\" (allowed: a character, Space, Enter, "},
        {"next = b\nagain = c b\n", "my.keys:2: b is there already, for next in line 1 (allowed: "},
        {"next = b\nnext = c\n", "my.keys:2: next is there already, in line 1 (allowed: once)"},
        {"next b\n", "my.keys:1: no = (allowed: ACTION = KEY KEY ...)"},
        {"next =\n", "my.keys:1: no key after the = (allowed: keys, or none for none at all)"},
        {"next = none b\n", "my.keys:1: no key \"none\" (allowed: "},
        {"next = note-128\n", "my.keys:1: no key \"note-128\" (allowed: "},
        {"next = program-0\n", "my.keys:1: no key \"program-0\" (allowed: "},
        {"[pedals]\n", "my.keys:1: no = (allowed: "},
        {"next = \xc3\n", "my.keys:1: not UTF-8"},
        {"next = \033[A\n", "my.keys:1: control byte"},
        {"= b\n", "my.keys:1: no action \"\" (allowed: "},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(read(rows[i].text), HF_E_DATA);
        if (strncmp(diag.message, rows[i].message, strlen(rows[i].message)) != 0)
            fail_msg("%s\n%s", diag.message, rows[i].message);
        assert_int_equal(keymap_look(&map, "Space"), CONTROL_STAY); /* nothing has changed */
        assert_int_equal(keymap_look(&map, "Enter"), CONTROL_NEXT);
    }
}

static void one_pedal_takes_the_keys_that_pedals_send(void **state)
{
    (void)state;
    assert_ok(read(""));
    keymap_one_pedal(&map);
    static const char *const keys[] = {"Space", "Enter", "Right", "Page-Down", "Pedal"};
    for (int i = 0; i < 5; i++)
        assert_int_equal(keymap_look(&map, keys[i]), CONTROL_PEDAL);
    assert_int_equal(keymap_look(&map, "p"), CONTROL_PAUSE);
    assert_ok(read("pedal = F5\n"));
    keymap_one_pedal(&map);
    assert_int_equal(keymap_look(&map, "F5"), CONTROL_PEDAL);
    assert_int_equal(keymap_look(&map, "Space"), CONTROL_STAY);
}

static void the_help_has_the_keys_as_they_are(void **state)
{
    (void)state;
    char text[KEYMAP_HELP];
    keymap_init(&map);
    assert_string_equal(
        keymap_help(&map, false, text),
        "Space stay / go on   p pause / resume   Enter next   Left again   r reveal\n"
        "g got   m missed   Up Down volume   q leave   ? keys");
    assert_string_equal(keymap_help(&map, true, text), "p pause / resume   q leave   ? keys");
    assert_ok(read("next = Page-Down\nreveal = none\nquit = F10\n"));
    assert_string_equal(
        keymap_help(&map, false, text),
        "Space stay / go on   p pause / resume   Page-Down next   Left again   g got\n"
        "m missed   Up Down volume   F10 leave   ? keys");
    keymap_init(&map);
    keymap_one_pedal(&map);
    assert_non_null(strstr(keymap_help(&map, false, text),
                           "Space on (got it); twice: again; held: stay / go on"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_are_those_of_the_contract),
        cmocka_unit_test(the_keys_of_common_terminals_are_known),
        cmocka_unit_test(unknown_sequences_are_swallowed_whole),
        cmocka_unit_test(characters_beyond_ascii_are_keys_when_they_are_whole),
        cmocka_unit_test(any_bytes_do_no_harm),
        cmocka_unit_test(midi_messages_are_keys),
        cmocka_unit_test(a_file_changes_what_keys_do),
        cmocka_unit_test(a_key_of_the_file_does_nothing_else),
        cmocka_unit_test(a_wrong_file_is_told_where_and_what_is_allowed),
        cmocka_unit_test(one_pedal_takes_the_keys_that_pedals_send),
        cmocka_unit_test(the_help_has_the_keys_as_they_are),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
