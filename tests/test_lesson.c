/* SPDX-License-Identifier: MIT */
/* The lesson page where the system fails: the whole page, or an error and no page. What is in a
 * page is tested by test_cli_sheet and tests/lesson. */
#define _XOPEN_SOURCE 700

#include "check.h"
#include "faults.h"
#include "scratch.h"

#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include <holdfast/builtin.h>
#include <holdfast/lesson.h>
#include <holdfast/patchfile.h>
#include <holdfast/source.h>

static struct {
    struct hf_request request;
    struct hf_schedule schedule;
    struct hf_conductor conductor;
    struct hf_head head;
    struct hf_patch held, added;
    struct hf_lesson lesson;
} made;

static const char *builtin(const char *name)
{
    const struct hf_builtin *each = hf_builtin_patches;
    while (each->name && strcmp(each->name, name) != 0)
        each++;
    assert_non_null(each->name);
    return each->text;
}

static enum hf_status no_record(void *self, const struct hf_record *record, struct hf_diag *diag)
{
    (void)self;
    (void)record;
    (void)diag;
    return HF_OK;
}

static void set(enum hf_option key, const char *text)
{
    assert_ok(hf_request_set(&made.request, key, text, NULL));
}

/* One round of short cues at a low rate, so that a page takes a moment. */
static int make(void **state)
{
    const char *held = builtin("soft-sine"), *added = builtin("struck-bar");
    memset(&made, 0, sizeof made);
    hf_request_init(&made.request);
    set(HF_OPT_HELD, "C E G#");
    set(HF_OPT_ROUNDS, "1");
    set(HF_OPT_EVERY, "1s");
    set(HF_OPT_SEED, "5");
    set(HF_OPT_RATE, "8000");
    assert_ok(hf_request_resolve(&made.request, NULL));
    assert_ok(hf_schedule_init(&made.schedule, &made.request, NULL));
    assert_ok(hf_conductor_init(&made.conductor, &made.request, &made.schedule, NULL));
    assert_ok(hf_source_rehearse(hf_conductor_source(&made.conductor),
                                 (struct hf_sink){no_record, NULL}, 8000, NULL));
    assert_ok(hf_head_init(&made.head, "test", "", &made.request, held, added, NULL));
    assert_ok(hf_patchfile_parse(held, strlen(held), "held", &made.held, NULL));
    assert_ok(hf_patchfile_parse(added, strlen(added), "added", &made.added, NULL));
    made.lesson = (struct hf_lesson){.head = &made.head,
                                     .held_patch = &made.held,
                                     .added_patch = &made.added,
                                     .timeline = &made.conductor.timeline};
    return scratch_make(state);
}

static int unmake(void **state)
{
    hf_head_deinit(&made.head);
    hf_conductor_deinit(&made.conductor);
    hf_schedule_deinit(&made.schedule);
    return scratch_remove(state);
}

static enum hf_status write_page(const char *name)
{
    struct hf_wholefile *file = NULL;
    struct hf_diag diag;
    enum hf_status status = hf_wholefile_open(&file, scratch(name), &diag);
    if (status != HF_OK)
        return status;
    status = hf_lesson_write(&made.lesson, file, &diag);
    if (status == HF_OK)
        return hf_wholefile_commit(file, &diag);
    hf_wholefile_discard(file);
    return status;
}

/* A page that was written is the right one; else there is none, or where only the sync of its
 * folder failed the right one. */
static void check_page(enum hf_status status, const unsigned char *good, size_t size)
{
    size_t length = 0;
    if (scratch_count("b.html") == 0) {
        assert_true(status != HF_OK);
        return;
    }
    unsigned char *page = scratch_read("b.html", &length);
    assert_int_equal(length, size);
    assert_memory_equal(page, good, size);
    free(page);
    unlink(scratch("b.html"));
}

/* Fails the first call, then others farther and farther on, until none is struck. */
static void try_all(bool memory)
{
    size_t size = 0;
    assert_ok(write_page("a.html"));
    unsigned char *good = scratch_read("a.html", &size);
    long struck = 1, failures = 0;
    for (long nth = 1; struck > 0; nth += 1 + nth / 20) {
        faults_arm(memory, nth, false, memory ? ENOMEM : ENOSPC);
        enum hf_status status = write_page("b.html");
        struck = faults_end();
        failures += status != HF_OK;
        check_page(status, good, size);
        assert_int_equal(scratch_count(".holdfast"), 0);
    }
    assert_true(failures > 3);
    free(good);
}

static void without_memory_there_is_no_page(void **state)
{
    (void)state;
    made.lesson.synth = false;
    try_all(true);
}

static void without_a_disk_there_is_no_page(void **state)
{
    (void)state;
    made.lesson.synth = true;
    try_all(false);
}

static long json_left; /* allocations of jansson until one fails; 0: none does */

static void *json_malloc(size_t size)
{
    if (json_left > 0 && --json_left == 0)
        return NULL;
    return malloc(size);
}

/* derived: nothing that jansson could not make is missing in a page that was written. */
static void a_page_has_all_its_data_or_is_none(void **state)
{
    (void)state;
    size_t size = 0;
    made.lesson.synth = true;
    assert_ok(write_page("a.html"));
    unsigned char *good = scratch_read("a.html", &size);
    json_set_alloc_funcs(json_malloc, free);
    long failures = 0, wanted = 1;
    for (long nth = 1; wanted == 0 || nth == 1; nth += 1 + nth / 12) {
        json_left = nth;
        enum hf_status status = write_page("b.html");
        wanted = json_left; /* 0 where that many were asked for */
        json_left = 0;
        failures += status != HF_OK;
        check_page(status, good, size);
    }
    assert_true(failures > 20);
    json_set_alloc_funcs(malloc, free);
    free(good);
}

static bool stop(void *self, double done)
{
    (void)self;
    return done < 0.5;
}

static void it_can_be_stopped(void **state)
{
    (void)state;
    made.lesson.synth = false;
    made.lesson.progress = stop;
    assert_int_equal(write_page("b.html"), HF_E_IO);
    made.lesson.progress = NULL;
    assert_int_equal(scratch_count("b.html"), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_memory_there_is_no_page),
        cmocka_unit_test(without_a_disk_there_is_no_page),
        cmocka_unit_test(a_page_has_all_its_data_or_is_none),
        cmocka_unit_test(it_can_be_stopped),
    };
    return cmocka_run_group_tests(tests, make, unmake);
}
