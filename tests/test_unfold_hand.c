/* SPDX-License-Identifier: MIT */
/* Chords that unfold in the hand: each step lies where one hand can take it. Reach is measured anew
 * (brute.h); and what no hand can do is refused with its reason. */
#define _XOPEN_SOURCE 700
#include "scratch.h"

#include "check.h"

#include <math.h>

#include <holdfast/instrumentfile.h>
#include <holdfast/schedule.h>

#include "brute.h"
#include "command.h"

static struct hf_schedule schedule; /* large */

/* Options as "key=text" parted by spaces; the first is the instrument's name. */
static enum hf_status begin(const char *hand, const char *options, uint64_t seed,
                            struct hf_request *r, struct hf_diag *diag)
{
    struct hf_fretboard board;
    char list[256], *state = NULL;
    hf_request_init(r);
    r->seed = seed;
    assert_ok(hf_request_set(r, HF_OPT_HAND, hand, NULL));
    assert_ok(hf_request_set(r, HF_OPT_SEED, "1", NULL));
    r->seed = seed;
    snprintf(list, sizeof list, "%s", options);
    for (char *one = strtok_r(list, " ", &state); one; one = strtok_r(NULL, " ", &state)) {
        char *text = strchr(one, '=');
        *text++ = 0;
        for (int key = 0; key < HF_OPTIONS; key++)
            if (strcmp(hf_option_name((enum hf_option)key), one) == 0)
                assert_ok(hf_request_set(r, (enum hf_option)key, text, NULL));
    }
    if (!r->keys) {
        const char *text = hf_instrumentfile_find_builtin(hand);
        assert_ok(hf_instrumentfile_parse(text, strlen(text), hand, hand, &board, NULL));
        hf_request_take_board(r, &board);
    }
    enum hf_status status = hf_request_resolve(r, diag);
    return status == HF_OK ? hf_schedule_init(&schedule, r, diag) : status;
}

/* The shape is the voicing, and within the board's own reach. */
static void expect_in_hand(const struct hf_fretboard *board, const struct hf_cue *cue)
{
    struct hf_voicing sounds = hf_shape_voicing(board, &cue->shape);
    int frets[HF_STRINGS_MOST];
    assert_int_equal(cue->strings, board->strings);
    assert_true(hf_voicing_same(&sounds, &cue->voicing));
    for (int i = 0; i < board->strings; i++)
        frets[i] = cue->shape.fret[i];
    assert_true(brute_reach(board, frets) <= board->reach_mm + 1e-6);
}

static int expect_steps_in_hand(const struct hf_request *r)
{
    struct hf_cue cue;
    int steps = 0;
    while (hf_schedule_next(&schedule, &cue))
        if (cue.step > 0) {
            steps++;
            expect_in_hand(&r->board, &cue);
        }
    return steps;
}

static void each_step_lies_in_the_hand(void **state)
{
    (void)state;
    static const char *const rows[][2] = {
        {"guitar", "unfold=all rounds=1"},
        {"guitar", "unfold=tetrachords rounds=1"},
        {"guitar", "unfold=all rounds=3 register=all held=048"},
        {"guitar", "unfold=all rounds=1 hold=hand"},
        {"guitar", "unfold=all rounds=1 order=grip held=048"},
        {"bass", "unfold=all rounds=1"},
        {"seven-string", "unfold=3-1,4-29 rounds=1"},
    };
    for (size_t row = 0; row < sizeof rows / sizeof rows[0]; row++)
        for (uint64_t seed = 1; seed <= 6; seed++) {
            struct hf_request r;
            struct hf_diag diag = {0};
            if (begin(rows[row][0], rows[row][1], seed, &r, &diag) != HF_OK)
                fail_msg("%s %s: %s", rows[row][0], rows[row][1], diag.message);
            assert_true(expect_steps_in_hand(&r) > 0);
            hf_schedule_deinit(&schedule);
        }
}

/* derived: the white keys from C to C; a black key counts as the white one below it */
static int white_keys(int low, int high)
{
    int keys = 0;
    for (int midi = low; midi <= high; midi++)
        keys += strchr("\1\3\6\10\12", midi % 12) == NULL || midi % 12 == 0 || midi == low;
    return keys;
}

static void each_step_lies_under_a_hand_at_the_keys(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 6; seed++) {
        struct hf_request r;
        struct hf_cue cue;
        assert_ok(begin("keys", "unfold=all rounds=2 span=8", seed, &r, NULL));
        while (hf_schedule_next(&schedule, &cue)) {
            const struct hf_voicing *v = &cue.voicing;
            bool among = hf_voicing_between(v, schedule.held_low, schedule.held_high);
            if (cue.step > 0 && !among)
                assert_true(white_keys(v->notes[0], v->notes[v->count - 1]) <= 8);
        }
        hf_schedule_deinit(&schedule);
    }
}

/* Their notes are where the chord has them, in reach or not. */
static void kept_registers_stay_as_they_are(void **state)
{
    (void)state;
    struct hf_request r;
    struct hf_cue cue;
    struct hf_voicing whole = {0};
    assert_ok(begin("guitar", "unfold=all rounds=1 keep-registers=yes", 1, &r, NULL));
    while (hf_schedule_next(&schedule, &cue)) {
        if (cue.step == 0) {
            whole = cue.voicing;
            continue;
        }
        for (int i = 0; i < cue.voicing.count; i++) {
            bool there = false;
            for (int j = 0; j < whole.count; j++)
                there |= whole.notes[j] == cue.voicing.notes[i];
            for (int j = 0; j < schedule.held.count; j++)
                there |= schedule.held.notes[j] == cue.voicing.notes[i];
            assert_true(there);
        }
    }
    hf_schedule_deinit(&schedule);
}

static void the_record_has_the_frets_and_replays(void **state)
{
    (void)state;
    char line[256], *timeline;
    snprintf(line, sizeof line,
             "render|--dry-run|--hand|guitar|--unfold|3-5|--rounds|1|--seed|1|--journal|%s",
             scratch("a.jsonl"));
    assert_int_equal(run_with(line, "", 0), 0);
    timeline = strdup(strstr(output, "   1  "));
    *strstr(timeline, " end ") = 0;
    size_t length = 0;
    char *text = (char *)scratch_read("a.jsonl", &length), *step = strstr(text, "\"t\":\"step\"");
    assert_non_null(strstr(step, "\"frets\":["));
    assert_true(strstr(step, "\"frets\":[") < strchr(step, '\n'));
    snprintf(line, sizeof line, "replay|--dry-run|%s", scratch("a.jsonl"));
    assert_int_equal(run_with(line, "", 0), 0);
    assert_memory_equal(strstr(output, "   1  "), timeline, strlen(timeline));
    free(timeline);
    free(text);
}

static void what_no_hand_can_do_is_refused_with_its_reason(void **state)
{
    (void)state;
    static const struct {
        const char *hand, *options, *says;
    } rows[] = {
        {"bass", "register=all held=048", "under the held notes no shape on bass has"},
        {"ukulele", "register=above held=048", "over the held notes no shape on ukulele has"},
        {"bass", "register=E1:G2 held=048", "in the register no shape on bass has"},
        {"bass", "hold=hand held=048", "in one hand are 6, and bass has 4 strings"},
        {"bass", "order=tour held=048", "in one hand are 6, and bass has 4 strings"},
        {"guitar", "unfold=all leap=40", "--leap is from cue to cue"},
        {"guitar", "held=048 reach=10 hold=hand", NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hf_request r;
        struct hf_diag diag = {0};
        assert_int_equal(begin(rows[i].hand, rows[i].options, 1, &r, &diag), HF_E_USAGE);
        if (rows[i].says && !strstr(diag.message, rows[i].says))
            fail_msg("%s %s: %s", rows[i].hand, rows[i].options, diag.message);
        assert_null(strstr(diag.message, "register (")); /* that has the room */
        assert_true(diag.advice[0] != 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_step_lies_in_the_hand),
        cmocka_unit_test(each_step_lies_under_a_hand_at_the_keys),
        cmocka_unit_test(kept_registers_stay_as_they_are),
        cmocka_unit_test_setup_teardown(the_record_has_the_frets_and_replays, scratch_make,
                                        scratch_remove),
        cmocka_unit_test(what_no_hand_can_do_is_refused_with_its_reason),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
