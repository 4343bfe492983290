/* SPDX-License-Identifier: MIT */
/*
 * The choice of what a session brings when memory runs out while it is prepared: told as what it
 * is, never as a chord that no hand can play, and nothing is left behind (sanitizers watch).
 */
#define _XOPEN_SOURCE 700
#include "asking.h"

#include <stdio.h>

#include <holdfast/instrumentfile.h>
#include <holdfast/schedule.h>

#include "faults.h"

enum { FIRST = 12, SPREAD = 12 }; /* points that are tried: so many, then so many over the rest */

static struct hf_schedule schedule; /* large */

static const struct setting sessions[][5] = {
    {{"hand", "guitar"}, {"held", "C E G#"}, {"register", "through"}},
    {{"hand", "guitar"}, {"held", "x-3-2-1-x-x"}, {"hold", "hand"}},
    {{"hand", "guitar"}, {"held", "x-3-2-1-x-x"}, {"order", "tour"}},
    {{"hand", "guitar"}, {"held", "C E G#"}, {"order", "grip"}},
    {{"practice", "roam"}, {"hand", "guitar"}, {"held", "x-3-2-1-x-x"}, {"hold", "hand"}},
    {{"practice", "warmup"}, {"held", "C E G#"}},
};

static struct hf_request request_of(const struct setting *settings)
{
    struct hf_request r;
    hf_request_init(&r);
    set_options(&r, settings);
    if (r.given[HF_OPT_HAND]) {
        struct hf_fretboard board;
        const char *text = hf_instrumentfile_find_builtin("guitar");
        assert_ok(hf_instrumentfile_parse(text, strlen(text), "", "guitar", &board, NULL));
        hf_request_take_board(&r, &board);
    }
    assert_ok(hf_request_resolve(&r, NULL));
    return r;
}

/* Prepares a session in which the nth request for memory fails; how many there were if none did. */
static long prepare(const struct hf_request *request, long nth, bool stay)
{
    struct hf_diag diag = {0};
    faults_arm(true, nth, stay, 0);
    enum hf_status status = hf_schedule_init(&schedule, request, &diag);
    long left = faults.until;
    if (faults_end() == 0) {
        assert_int_equal(status, HF_OK);
        hf_schedule_deinit(&schedule);
        return nth - left;
    }
    if (status != HF_E_MEMORY || strcmp(diag.message, "out of memory") != 0)
        fail_msg("at %ld: %s: %s", nth, hf_status_text(status), diag.message);
    return 0;
}

static void want_of_memory_is_told_as_that(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof sessions / sizeof sessions[0]; i++) {
        struct hf_request request = request_of(sessions[i]);
        long points = prepare(&request, 1 << 30, false);
        assert_true(points > 1);
        long step = points > FIRST + SPREAD ? (points - FIRST) / SPREAD : 1;
        for (long nth = 1; nth <= points; nth += nth < FIRST ? 1 : step)
            assert_int_equal(prepare(&request, nth, nth % 2 == 0), 0);
        assert_int_equal(prepare(&request, points, false), 0); /* the last */
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(want_of_memory_is_told_as_that),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
