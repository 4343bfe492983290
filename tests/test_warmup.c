/* SPDX-License-Identifier: MIT */
/* The warm-up: which steps, which are left out, how long they take, and what is refused. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/schedule.h>
#include <holdfast/warmup.h>

#include "asking.h"

enum { RATE = 8000, MINUTE = 60 * RATE, LEAD = 20 * RATE };

static struct hf_completion completions[HF_COMPLETIONS_MOST];
static struct hf_warmup_step steps[HF_WARMUP_STEPS_MOST];

static int complete(int triad, const char *class)
{
    const struct hf_setclass *added = NULL;
    assert_ok(hf_setclass_parse(class, &added, NULL));
    return hf_pairing_complete(hf_pcset_transpose(0x111, triad), added, completions);
}

/* ---- which ----------------------------------------------------------------------------------- */

/* derived: three completions of a kind, each of three notes, three pairs, close and spread: 3 times
 * 8; the three share no note, so the notes are the nine that the triad leaves free (facts of the
 * all-trichord hexachord: two steps around the ring is T4, and 016 avoids its own T4 and T8). */
static void a_kind_has_24_steps_from_notes_to_chords(void **state)
{
    (void)state;
    for (int triad = 0; triad < 4; triad++)
        for (int kind = 1; kind <= 2; kind++) {
            int count = complete(triad, "016");
            assert_int_equal(hf_warmup_kinds(completions, count), 2);
            assert_int_equal(hf_warmup_steps(completions, count, kind, -1, steps), 24);
            hf_pcset notes = 0;
            for (int i = 0; i < 9; i++) {
                assert_int_equal(steps[i].stage, HF_WARMUP_NOTE);
                notes = (hf_pcset)(notes | steps[i].pcs);
            }
            assert_int_equal(notes, hf_pcset_complement(hf_pcset_transpose(0x111, triad)));
            for (int i = 0; i < 3; i++) {
                const struct hf_completion *of = &completions[steps[9 + i].index];
                assert_int_equal(of->kind, kind);
                assert_int_equal(of->position, i + 1);
                assert_int_equal(steps[9 + i].pcs, of->perfect);
                assert_int_equal(steps[12 + i].pcs, of->semitone);
                assert_int_equal(steps[15 + i].pcs, of->tritone);
                assert_int_equal(steps[18 + i].pcs, of->pcs);
                assert_int_equal(steps[18 + i].stage, HF_WARMUP_CLOSE);
                assert_int_equal(steps[21 + i].pcs, of->pcs);
                assert_int_equal(steps[21 + i].stage, HF_WARMUP_SPREAD);
            }
        }
}

/* derived: n notes, the pairs of n where there are three notes or more, close and spread. */
static void other_classes_have_steps_by_their_size(void **state)
{
    (void)state;
    static const struct {
        const char *class;
        int of_one;
    } rows[] = {{"2-4", 2 + 2}, {"012", 3 + 3 + 2}, {"4-9", 4 + 6 + 2}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        int count = complete(0, rows[i].class), in_kind = 0;
        for (int j = 0; j < count; j++)
            in_kind += completions[j].kind == 1;
        assert_int_equal(hf_warmup_steps(completions, count, 1, -1, steps),
                         rows[i].of_one * in_kind);
    }
}

/* ---- leaving out ----------------------------------------------------------------------------- */

static bool has(const struct hf_warmup_step *list, int count, const struct hf_warmup_step *step)
{
    for (int i = 0; i < count; i++)
        if (list[i].stage == step->stage && list[i].pcs == step->pcs)
            return true;
    return false;
}

static void a_shorter_one_leaves_out_and_keeps_the_order(void **state)
{
    (void)state;
    int count = complete(0, "016");
    for (int last = -1; last < count; last++) {
        int kind = last >= 0 ? completions[last].kind : 1;
        struct hf_warmup_step more[HF_WARMUP_STEPS_MOST];
        int all = hf_warmup_steps(completions, count, kind, last, more);
        for (int keep = all; keep >= 1; keep--) {
            assert_int_equal(hf_warmup_steps(completions, count, kind, last, steps), all);
            assert_int_equal(hf_warmup_shorten(steps, all, keep), keep);
            for (int i = 0; i < keep; i++) {
                assert_true(has(more, keep + 1, &steps[i]));
                assert_true(i == 0 || steps[i].stage >= steps[i - 1].stage);
            }
            memcpy(more, steps, sizeof steps);
            if (last >= 0) { /* the chord that it is to end on is never left out */
                assert_int_equal(steps[keep - 1].index, last);
                assert_int_equal(steps[keep - 1].stage, HF_WARMUP_SPREAD);
            }
        }
        assert_int_equal(more[0].pcs, completions[more[0].index].pcs);
    }
}

/* ---- time ------------------------------------------------------------------------------------ */

static void as_many_steps_as_fit_and_not_one_more(void **state)
{
    (void)state;
    for (int64_t step = 6 * RATE; step <= 130 * RATE; step += 977)
        for (int64_t span = -RATE; span < 20 * MINUTE; span += 9973) {
            int64_t fit = hf_warmup_fit(span, step, RATE);
            assert_true(fit == 0 || hf_warmup_length(fit, step, RATE) <= span);
            assert_true(hf_warmup_length(fit + 1, step, RATE) > span);
        }
    /* derived: 24 x 15 s, a rest of 20 s after each fourth but the last; with 20 s before: 8:00 */
    assert_int_equal(hf_warmup_length(24, 15 * RATE, RATE) + LEAD, 8 * MINUTE);
}

/* ---- in a session ---------------------------------------------------------------------------- */

static struct hf_schedule schedule; /* large */
static struct hf_request request;

static void ask(const char *key, const char *value)
{
    set_option(&request, key, value);
}

static void begin(const char *held, const char *span)
{
    hf_request_init(&request);
    ask("practice", "warmup");
    ask("rate", "8000");
    if (held)
        ask("held", held);
    if (span)
        ask("for", span);
}

static void start(void)
{
    assert_ok(hf_request_resolve(&request, NULL));
    assert_ok(hf_schedule_init(&schedule, &request, NULL));
}

/* The longest time without a rest; whether no step is shorter than `least` and none outside the
 * register. Returns the length of all. */
static int64_t walk(int64_t least, int64_t *work)
{
    struct hf_cue cue;
    int64_t at = LEAD, since = LEAD;
    *work = 0;
    while (hf_schedule_next(&schedule, &cue)) {
        int low, high;
        hf_schedule_register(&schedule, 0, &low, &high);
        assert_true(cue.voicing.count == hf_pcset_size(cue.pcs) && cue.voicing.count >= 1);
        assert_true(cue.voicing.notes[0] >= low);
        assert_true(cue.voicing.notes[cue.voicing.count - 1] <= high);
        assert_true(cue.length >= least);
        at += cue.length;
        *work = at - since > *work ? at - since : *work;
        if (cue.rest) {
            at += cue.rest;
            since = at;
        }
    }
    return at;
}

static void it_never_hurries_and_rests_every_minute(void **state)
{
    (void)state;
    static const char *const spans[] = {"36s", "1m", "2m", "3.5m", "8m", "20m", "1h"};
    for (size_t i = 0; i < sizeof spans / sizeof spans[0]; i++) {
        int64_t work = 0;
        begin("C E G#", spans[i]);
        start();
        int64_t length = walk(15 * RATE, &work);
        assert_int_equal(length, hf_schedule_length(&schedule));
        assert_true(length <= hf_request_samples(&request, request.for_span));
        assert_true(work <= MINUTE);
        hf_schedule_deinit(&schedule);
    }
}

static void a_step_is_part_of_a_close_chord_to_come(void **state)
{
    (void)state;
    struct hf_cue cue, seen[24];
    begin("C E G#", NULL);
    start();
    assert_int_equal(schedule.total, 24);
    for (int i = 0; hf_schedule_next(&schedule, &cue); i++)
        seen[i] = cue;
    for (int i = 0; i < 24; i++) {
        const struct hf_cue *close = NULL;
        for (int j = 18; j < 21; j++)
            if (seen[j].id == seen[i].id)
                close = &seen[j];
        assert_non_null(close);
        assert_true(hf_voicing_is_close(&close->voicing));
        if (i >= 21)
            assert_false(hf_voicing_is_close(&seen[i].voicing));
        for (int n = 0; i < 21 && n < seen[i].voicing.count; n++)
            assert_non_null(memchr(close->voicing.notes, seen[i].voicing.notes[n], 3));
    }
    hf_schedule_deinit(&schedule);
}

static void it_ends_on_the_chord_that_it_comes_from(void **state)
{
    (void)state;
    static const char *const spans[] = {"36s", "1m", "3m", "8m", "11m"};
    for (size_t i = 0; i < sizeof spans / sizeof spans[0]; i++) {
        struct hf_notes held, own;
        struct hf_cue cue = {0}, last = {0};
        begin(NULL, spans[i]);
        assert_ok(hf_notes_parse("C4 E4 G#4", NULL, &held, NULL));
        assert_ok(hf_notes_parse("D3 G3 C#5", NULL, &own, NULL));
        assert_ok(hf_request_split(&request, &held, &own, NULL));
        start();
        while (hf_schedule_next(&schedule, &cue))
            last = cue;
        const uint8_t notes[] = {50, 55, 73};
        assert_int_equal(last.voicing.count, 3);
        assert_memory_equal(last.voicing.notes, notes, 3);
        assert_int_equal(last.serial, schedule.total);
        hf_schedule_deinit(&schedule);
    }
}

/* derived: what is skipped and what is given then is the whole, rests where they were. */
static void what_was_played_is_skipped_and_the_rest_stays(void **state)
{
    (void)state;
    enum { STEPS = 24 };
    struct hf_cue whole[STEPS], cue;
    hf_pcset given[STEPS];
    begin("C E G#", NULL);
    start();
    for (int i = 0; i < STEPS; i++) {
        assert_true(hf_schedule_next(&schedule, &whole[i]));
        given[i] = whole[i].pcs;
    }
    hf_schedule_deinit(&schedule);
    for (uint32_t played = 1; played < STEPS; played++) {
        int64_t at = LEAD;
        assert_ok(hf_schedule_init(&schedule, &request, NULL));
        assert_true(hf_schedule_skip(&schedule, 0, given, played));
        int64_t length = hf_schedule_length(&schedule);
        for (uint32_t i = played; i < STEPS; i++) {
            assert_true(hf_schedule_next(&schedule, &cue));
            assert_int_equal(cue.serial, i - played + 1);
            assert_true(hf_voicing_same(&cue.voicing, &whole[i].voicing));
            assert_int_equal(cue.rest, whole[i].rest);
            at += cue.length + cue.rest;
        }
        assert_false(hf_schedule_next(&schedule, &cue));
        assert_int_equal(at, length);
        hf_schedule_deinit(&schedule);
    }
    /* Drawn anew, and shorter, it still ends as a whole one does. */
    assert_ok(hf_schedule_init(&schedule, &request, NULL));
    assert_true(hf_schedule_shorten(&schedule, 20));
    for (int i = 0; i < 4; i++)
        assert_true(hf_schedule_next(&schedule, &cue));
    assert_int_equal(cue.voicing.count, 3);
    assert_false(hf_schedule_next(&schedule, &cue));
    hf_schedule_deinit(&schedule);
}

static int kind_of_day(const char *day)
{
    begin("C E G#", NULL);
    ask("day", day);
    start();
    int kind = schedule.kind;
    hf_schedule_deinit(&schedule);
    return kind;
}

static void each_day_has_the_next_kind(void **state)
{
    (void)state;
    /* published: `date -d DAY +%s` divided by 86400 */
    static const struct {
        const char *day;
        long days;
    } rows[] = {{"1970-01-01", 0},
                {"2000-02-29", 11016},
                {"2026-11-25", 20782},
                {"2100-03-01", 47541},
                {"9999-12-31", 2932896}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        hf_request_init(&request);
        ask("day", rows[i].day);
        assert_int_equal(request.day, rows[i].days);
    }
    assert_int_equal(kind_of_day("2026-11-24"), 2);
    assert_int_equal(kind_of_day("2026-11-25"), 1);
    assert_int_equal(kind_of_day("2026-11-26"), 2);
    static const char *const bad[] = {"2026-02-29", "2026-13-01", "26-11-25",   "2026-11-25 ",
                                      "2026/11/25", "+026-11-25", "1969-12-31", "2026-11-00"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        assert_int_equal(hf_request_set(&request, HF_OPT_DAY, bad[i], NULL), HF_E_USAGE);
}

/* Without a day each kind comes by the seed. */
static void the_seed_or_the_player_chooses_the_kind(void **state)
{
    (void)state;
    int seen[3] = {0};
    for (int seed = 0; seed < 32; seed++) {
        char text[16];
        snprintf(text, sizeof text, "%d", seed);
        begin("C E G#", NULL);
        ask("seed", text);
        start();
        seen[schedule.kind]++;
        hf_schedule_deinit(&schedule);
    }
    assert_true(seen[1] > 0 && seen[2] > 0);
    for (int kind = 1; kind <= 2; kind++) {
        char text[16];
        snprintf(text, sizeof text, "%d", kind);
        begin("C E G#", NULL);
        ask("kind", text);
        start();
        assert_int_equal(schedule.kind, kind);
        hf_schedule_deinit(&schedule);
    }
}

static void what_makes_no_warm_up_is_refused_with_a_sentence(void **state)
{
    (void)state;
    static const struct {
        const char *key, *value, *says;
    } rows[] = {{"every", "5.9s", "never hurries"},
                {"every", "wait", "has no minutes"},
                {"cue", "ear", "says what to play"},
                {"cue", "reverse", "says what to play"},
                {"order", "ring", "leave out --order"},
                {"voicing", "close", "leave out --voicing"},
                {"hand", "keys", "leave out --hand"},
                {"added", "5-1", "5-1 has 5"},
                {"added", "1-1", "1-1 has 1"},
                {"kind", "3", "there is no kind 3"},
                {"for", "34s", "not one whole step fits"},
                {"register", "C4:E4", "has no room"},
                {"rounds", "10000", "longer than 7 days"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hf_diag diag = {0};
        begin("C E", NULL);
        if (strcmp(rows[i].key, "added") != 0)
            ask("held", "C E G#");
        ask(rows[i].key, rows[i].value);
        enum hf_status status = hf_request_resolve(&request, &diag);
        if (status == HF_OK)
            status = hf_schedule_init(&schedule, &request, &diag);
        if (status != HF_E_USAGE || !strstr(diag.message, rows[i].says))
            fail_msg("%s %s: %d, %s", rows[i].key, rows[i].value, (int)status, diag.message);
    }
    struct hf_diag diag;
    hf_request_init(&request);
    ask("kind", "1");
    assert_int_equal(hf_request_resolve(&request, &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.message, "goes with the practice warmup"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_kind_has_24_steps_from_notes_to_chords),
        cmocka_unit_test(other_classes_have_steps_by_their_size),
        cmocka_unit_test(a_shorter_one_leaves_out_and_keeps_the_order),
        cmocka_unit_test(as_many_steps_as_fit_and_not_one_more),
        cmocka_unit_test(it_never_hurries_and_rests_every_minute),
        cmocka_unit_test(a_step_is_part_of_a_close_chord_to_come),
        cmocka_unit_test(it_ends_on_the_chord_that_it_comes_from),
        cmocka_unit_test(what_was_played_is_skipped_and_the_rest_stays),
        cmocka_unit_test(each_day_has_the_next_kind),
        cmocka_unit_test(the_seed_or_the_player_chooses_the_kind),
        cmocka_unit_test(what_makes_no_warm_up_is_refused_with_a_sentence),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
