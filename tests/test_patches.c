/* SPDX-License-Identifier: MIT */
/* The command patches as a user runs it: lists, JSON, texts, sound files, mistakes. It runs in this
 * process with the standard streams led into files. */
#include "check.h"

#include <jansson.h>
#include <math.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <holdfast/cli.h>

#include "measure/measure.h"

static char output[1 << 17], errors[1 << 14];
static char home[] = "/tmp/holdfast-patches-XXXXXX";

static void read_back(FILE *file, char *text, size_t size)
{
    rewind(file);
    text[fread(text, 1, size - 1, file)] = '\0';
    fclose(file);
}

/* Runs `patches` with up to three words; returns its status. */
static int run(const char *a, const char *b, const char *c)
{
    char words[4][256] = {"patches"}, *argv[5] = {words[0]};
    const char *given[3] = {a, b, c};
    int argc = 1, status = -1;
    for (int i = 0; i < 3 && given[i]; i++, argc++) {
        snprintf(words[argc], sizeof words[argc], "%s", given[i]);
        argv[argc] = words[argc];
    }
    FILE *out = tmpfile(), *err = tmpfile();
    assert_true(out && err);
    fflush(NULL);
    int kept[2] = {dup(1), dup(2)};
    dup2(fileno(out), 1);
    dup2(fileno(err), 2);
    for (const struct hf_cli_command *each = hf_cli_commands; each->name; each++)
        if (!strcmp(each->name, "patches"))
            status = each->run(each, argc, argv);
    fflush(NULL);
    dup2(kept[0], 1);
    dup2(kept[1], 2);
    close(kept[0]);
    close(kept[1]);
    read_back(out, output, sizeof output);
    read_back(err, errors, sizeof errors);
    return status;
}

static void write_own(const char *name, const char *text)
{
    char path[256];
    snprintf(path, sizeof path, "%s/holdfast/patches/%s", home, name);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(text, file);
    fclose(file);
}

static void remove_own(const char *name)
{
    char path[256];
    snprintf(path, sizeof path, "%s/holdfast/patches/%s", home, name);
    unlink(path);
}

static json_t *find(json_t *object, const char *name)
{
    json_t *list = json_object_get(object, "patches");
    for (size_t i = 0; i < json_array_size(list); i++) {
        json_t *each = json_array_get(list, i);
        if (!strcmp(json_string_value(json_object_get(each, "name")), name))
            return each;
    }
    return NULL;
}

/* published: the specification's example, "flute", drone, -26.0, 186, 1.51. */
static void json_has_the_shape_of_the_contract(void **state)
{
    (void)state;
    assert_int_equal(run("--json", NULL, NULL), 0);
    assert_non_null(strstr(output, "{\"name\":\"flute\",\"kind\":\"drone\",\"lufs\":-26.0,"
                                   "\"centroid_hz\":186,\"roughness\":1.51}"));
    json_t *object = json_loads(output, 0, NULL);
    assert_non_null(object);
    assert_int_equal(json_integer_value(json_object_get(object, "holdfast")), 1);
    assert_int_equal(json_array_size(json_object_get(object, "patches")), 12);
    assert_string_equal(json_string_value(json_object_get(find(object, "struck-bar"), "kind")),
                        "struck");
    json_decref(object);
    assert_string_equal(errors, "");
}

static void the_list_names_every_patch_with_its_character(void **state)
{
    (void)state;
    assert_int_equal(run(NULL, NULL, NULL), 0);
    assert_non_null(strstr(output, "flute          drone   -26.0     186   1.51  a low flute"));
    assert_non_null(strstr(output, "struck-bar     struck  -23.8"));
}

static void one_patch_is_shown_with_its_text(void **state)
{
    (void)state;
    assert_int_equal(run("reed", NULL, NULL), 0);
    assert_non_null(strstr(output, "[partials]\ncount = 24\n"));
    assert_non_null(strstr(output, "times the processor time of stopped-pipe\n"));
    assert_int_equal(run("reed", "--json", NULL), 0);
    json_t *object = json_loads(output, 0, NULL);
    assert_int_equal(json_array_size(json_object_get(object, "patches")), 1);
    json_decref(object);
}

static void the_players_own_stand_beside_and_before_those_that_ship(void **state)
{
    (void)state;
    write_own("flute.ini", "[patch]\nkind = drone\nabout = mine\n[partials]\ncount = 1\n");
    write_own("pure.ini", "[patch]\nkind = drone\nabout = one partial\n[partials]\ncount = 1\n");
    write_own("broken.ini", "[patch]\nkind = drone\nabout = x\n[partials]\ncount = 0\n");
    write_own("notes.txt", "no patch\n");
    assert_int_equal(run("--json", NULL, NULL), 0);
    json_t *object = json_loads(output, 0, NULL);
    assert_int_equal(json_array_size(json_object_get(object, "patches")), 13);
    assert_non_null(find(object, "pure"));
    assert_true(json_real_value(json_object_get(find(object, "flute"), "roughness")) < 1.2);
    json_decref(object);
    assert_non_null(strstr(errors, "broken.ini:5: [partials] count = 0: out of range"));
    remove_own("flute.ini");
    remove_own("pure.ini");
    remove_own("broken.ini");
    remove_own("notes.txt");
}

/* The four triads, one after the other, in the file: each note rises out of the others by 30 dB. */
static void a_file_holds_the_patch_on_the_four_triads(void **state)
{
    (void)state;
    char path[300];
    snprintf(path, sizeof path, "%s/open.wav", home);
    assert_int_equal(run("open-pipe", "-o", path), 0);
    assert_non_null(strstr(output, "open-pipe on Db F A\n"));
    SF_INFO info = {0};
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.frames, 4 * 7 * 48000);
    float *stereo = malloc((size_t)info.frames * 2 * sizeof *stereo);
    float *mono = malloc(48000 * sizeof *mono);
    assert_int_equal(sf_readf_float(file, stereo, info.frames), info.frames);
    sf_close(file);
    for (int triad = 0; triad < 4; triad++) {
        const float *at = stereo + 2 * (7 * triad + 4) * 48000;
        for (int i = 0; i < 48000; i++)
            mono[i] = at[2 * i] + at[2 * i + 1];
        for (int note = 0; note < 12; note++) {
            double hz = measure_note_hz(48 + note, 440);
            double level = measure_db(measure_tone(mono, 48000, 48000, hz).amplitude);
            bool there = note % 4 == triad;
            assert_true(there ? level > -40 : level < -70);
        }
    }
    free(stereo);
    free(mono);
    unlink(path);
}

static void two_patches_take_turns(void **state)
{
    (void)state;
    char path[300];
    snprintf(path, sizeof path, "%s/two.wav", home);
    assert_int_equal(run("--compare=felt-hammer,soft-sine", "-o", path), 0);
    assert_non_null(strstr(output, "  0 s  felt-hammer on C E G#\n  7 s  soft-sine on C E G#\n"));
    SF_INFO info = {0};
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.frames, 8 * 7 * 48000);
    sf_close(file);
    unlink(path);
}

static void mistakes_are_told_with_their_status(void **state)
{
    (void)state;
    static const struct {
        const char *words[3];
        int status;
        const char *says;
    } rows[] = {
        {{"no-such"}, 66, "there is no patch \"no-such\""},
        {{"/no/such.ini"}, 66, "/no/such.ini"},
        {{"flute", "reed"}, 64, "one name"},
        {{"--play"}, 64, "which patch?"},
        {{"-o", "x.wav"}, 64, "which patch?"},
        {{"--compare", "flute"}, 64, "is not two patches"},
        {{"--compare", "flute,"}, 64, "is not two patches"},
        {{"--compare", ",flute"}, 64, "is not two patches"},
        {{"--compare", "a,b,c"}, 64, "is not two patches"},
        {{"--compare=flute,reed", "reed"}, 64, "names its patches itself"},
        {{"--json", "--play", "reed"}, 64, "--json is for the list"},
        {{"--output=x"}, 64, "--output goes with"},
        {{"flute", "-o", "x.xyz"}, 64, "xyz"},
        {{"flute", "-o", "/no/where/x.wav"}, 73, "/no/where"},
        {{"--loud"}, 64, "--loud"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int status = run(rows[i].words[0], rows[i].words[1], rows[i].words[2]);
        if (status != rows[i].status || !strstr(errors, rows[i].says))
            fail_msg("row %zu: status %d, %s", i, status, errors);
        assert_int_equal(strncmp(errors, "holdfast: ", 10), 0);
    }
}

static int make_home(void **state)
{
    char path[128];
    (void)state;
    if (!mkdtemp(home))
        return -1;
    snprintf(path, sizeof path, "%s/holdfast", home);
    mkdir(path, 0700);
    snprintf(path, sizeof path, "%s/holdfast/patches", home);
    mkdir(path, 0700);
    return setenv("XDG_CONFIG_HOME", home, 1);
}

static int remove_home(void **state)
{
    char path[128];
    (void)state;
    snprintf(path, sizeof path, "%s/holdfast/patches", home);
    rmdir(path);
    snprintf(path, sizeof path, "%s/holdfast", home);
    rmdir(path);
    return rmdir(home);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(json_has_the_shape_of_the_contract),
        cmocka_unit_test(the_list_names_every_patch_with_its_character),
        cmocka_unit_test(one_patch_is_shown_with_its_text),
        cmocka_unit_test(the_players_own_stand_beside_and_before_those_that_ship),
        cmocka_unit_test(a_file_holds_the_patch_on_the_four_triads),
        cmocka_unit_test(two_patches_take_turns),
        cmocka_unit_test(mistakes_are_told_with_their_status),
    };
    return cmocka_run_group_tests(tests, make_home, remove_home);
}
