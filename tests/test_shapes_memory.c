/* SPDX-License-Identifier: MIT */
/* The search for shapes when memory runs out: at every request for it, once and from then on. */
#define _XOPEN_SOURCE 700
#include "check.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/grip.h>
#include <holdfast/instrumentfile.h>

#include "faults.h"

enum { TRIAD = 1 << 0 | 1 << 4 | 1 << 8, REQUESTS_MOST = 10000 };

static struct hf_fretboard board;
static struct hf_shapes_ask ask;
static struct hf_completion completions[HF_COMPLETIONS_MOST];
static struct hf_shape held;
static struct hf_families families;
static int count;

static int prepare(void **state)
{
    (void)state;
    const char *text = hf_instrumentfile_find_builtin("seven-string");
    if (hf_instrumentfile_parse(text, strlen(text), "", "", &board, NULL) != HF_OK)
        return -1;
    hf_shapes_ask_init(&ask, &board);
    ask.set = TRIAD;
    count = hf_pairing_complete(TRIAD, hf_setclass_find(3, 5), completions);
    bool found = false;
    if (hf_shapes_first(&board, &ask, &found, &held, NULL) != HF_OK || !found)
        return -1;
    return hf_families_find(&board, &ask, TRIAD, completions, count, &families, NULL) == HF_OK ? 0
                                                                                               : -1;
}

static int tidy(void **state)
{
    (void)state;
    hf_families_free(&families);
    return 0;
}

/* Each runs once; what it gives is freed, and on failure must be as it was. */
static enum hf_status find_shapes(struct hf_diag *diag)
{
    struct hf_shapes out, before;
    memset(&out, 0x55, sizeof out);
    before = out;
    enum hf_status status = hf_shapes_find(&board, &ask, &out, diag);
    if (status == HF_OK)
        hf_shapes_free(&out);
    else
        assert_memory_equal(&out, &before, sizeof out);
    return status;
}

static enum hf_status find_families(struct hf_diag *diag)
{
    struct hf_families out, before;
    memset(&out, 0x55, sizeof out);
    before = out;
    enum hf_status status = hf_families_find(&board, &ask, TRIAD, completions, count, &out, diag);
    if (status == HF_OK)
        hf_families_free(&out);
    else
        assert_memory_equal(&out, &before, sizeof out);
    return status;
}

static enum hf_status find_pairs(struct hf_diag *diag)
{
    struct hf_family_pairs out, before;
    memset(&out, 0x55, sizeof out);
    before = out;
    enum hf_status status = hf_family_pairs_find(&board, &families, &out, diag);
    if (status == HF_OK)
        hf_family_pairs_free(&out);
    else
        assert_memory_equal(&out, &before, sizeof out);
    return status;
}

static enum hf_status find_nearest(struct hf_diag *diag)
{
    struct hf_shape grip, before;
    bool found = false, same = false;
    memset(&grip, 0x55, sizeof grip);
    before = grip;
    enum hf_status status =
        hf_grip_nearest(&board, &ask, &held, completions[0].pcs, &found, &grip, &same, diag);
    if (status != HF_OK)
        assert_memory_equal(&grip, &before, sizeof grip);
    return status;
}

static enum hf_status find_tour(struct hf_diag *diag)
{
    struct hf_tour out, before;
    memset(&out, 0x55, sizeof out);
    before = out;
    enum hf_status status = hf_tour_find(&board, &ask, &held, completions, count, &out, diag);
    if (status == HF_OK)
        hf_tour_free(&out);
    else
        assert_memory_equal(&out, &before, sizeof out);
    return status;
}

static enum hf_status explain_families(struct hf_diag *diag)
{
    return hf_families_explain(&board, &ask, TRIAD, completions, count, diag);
}

static void memory_that_runs_out_is_told_at_every_request(void **state)
{
    (void)state;
    static enum hf_status (*const runs[])(struct hf_diag *) = {
        find_shapes, find_families, find_pairs, find_nearest, find_tour, explain_families};
    for (size_t r = 0; r < sizeof runs / sizeof *runs; r++)
        for (int stay = 0; stay < 2; stay++) {
            long nth = 1;
            for (; nth < REQUESTS_MOST; nth++) {
                struct hf_diag diag = {0};
                faults_arm(true, nth, stay, 0);
                enum hf_status status = runs[r](&diag);
                if (faults_end() == 0) {
                    assert_int_equal(status, HF_OK);
                    break;
                }
                assert_int_equal(status, HF_E_MEMORY);
                assert_string_equal(diag.message, "out of memory");
            }
            assert_in_range(nth, 2, REQUESTS_MOST - 1);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(memory_that_runs_out_is_told_at_every_request),
    };
    return cmocka_run_group_tests(tests, prepare, tidy);
}
