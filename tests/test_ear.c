/* SPDX-License-Identifier: MIT */
/* Ear training on a virtual clock: what a round holds, how levels go up and down under a scripted
 * player, and that keys at the wrong moment do no harm. Rate 8000. */
#include "player.h"

#include <stdio.h>

enum { RATE = 8000 };

static void ask(const struct setting *settings)
{
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "ear", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    set_options(&request, settings);
    assert_ok(hf_request_resolve(&request, NULL));
}

static void begin(const struct setting *settings)
{
    ask(settings);
    lay_session();
    virtual_tend(&v);
}

static size_t lines_with(const char *what)
{
    size_t count = 0;
    v.lines[v.length] = 0;
    for (const char *at = v.lines; (at = strstr(at, what)); at++)
        count++;
    return count;
}

/* ---- rounds ---------------------------------------------------------------------------------- */

static int index_of(hf_pcset pcs, int *near)
{
    for (int i = 0; i < schedule.count; i++)
        if (schedule.completions[i].pcs == pcs)
            return i;
    for (int i = 0; i < schedule.ear.near_count; i++)
        if (schedule.ear.near[i].pcs == pcs) {
            *near = i;
            return -1;
        }
    fail_msg("neither a completion nor a near miss");
    return 0;
}

/* All cues of a session of four rounds; `pairs` counts which completion follows which. */
static void check_rounds(uint64_t seed, long pairs[6][6])
{
    struct hf_cue cue;
    int size = hf_schedule_round(&schedule), last = -1, near_come = 0;
    hf_pcset before = 0;
    for (int round = 0; round < 4; round++) {
        int come = 0, near_here = 0;
        for (int i = 0; i < size; i++) {
            int near = -1;
            assert_true(hf_schedule_next(&schedule, &cue));
            int index = index_of(cue.pcs, &near);
            if (cue.pcs == before)
                fail_msg("seed %llu: twice in a row", (unsigned long long)seed);
            before = cue.pcs;
            assert_int_equal(cue.id, index + 1);
            if (index < 0) {
                near_come |= 1 << near;
                near_here++;
                continue;
            }
            assert_int_not_equal(index, last);
            if (last >= 0)
                pairs[last][index]++;
            come |= 1 << index;
            last = index;
        }
        assert_int_equal(come, 63); /* derived: each of the six once */
        assert_int_equal(near_here, schedule.ear.near_count / 2);
        if (round % 2 == 1 && schedule.ear.near_count) {
            assert_int_equal(near_come, 4095); /* each of the twelve once in two rounds */
            near_come = 0;
        }
    }
    assert_false(hf_schedule_next(&schedule, &cue));
}

/* derived: in shuffle each of the five others is as likely to come next; Pearson's chi-squared over
 * the 30 pairs (24 degrees of freedom, one row total each) stays under 62.3 in all but one of
 * 30,000 such samples (published: tables of the chi-squared distribution, e.g. 24 degrees: 51.2 in
 * one of 1000) */
static void assert_even(long pairs[6][6])
{
    double chi = 0;
    for (int i = 0; i < 6; i++) {
        long row = 0;
        for (int j = 0; j < 6; j++)
            row += pairs[i][j];
        assert_int_equal(pairs[i][i], 0);
        double expected = (double)row / 5;
        for (int j = 0; j < 6; j++)
            if (j != i)
                chi +=
                    ((double)pairs[i][j] - expected) * ((double)pairs[i][j] - expected) / expected;
    }
    if (chi > 62.3)
        fail_msg("chi-squared %.1f", chi);
}

static void every_round_holds_what_it_should_over_10000_seeds(void **state)
{
    (void)state;
    const struct setting plain[] = {{"held", "C E G#"}, {"rounds", "4"}, {NULL, NULL}};
    const struct setting near[] = {
        {"held", "C E G#"}, {"rounds", "4"}, {"near-miss", "yes"}, {NULL, NULL}};
    for (int kind = 0; kind < 2; kind++) {
        long pairs[6][6] = {{0}};
        ask(kind ? near : plain);
        for (uint64_t seed = 0; seed < 10000; seed++) {
            request.seed = seed;
            assert_ok(hf_schedule_init(&schedule, &request, NULL));
            assert_int_equal(hf_schedule_round(&schedule), kind ? 12 : 6);
            check_rounds(seed, pairs);
        }
        assert_even(pairs);
    }
}

static void near_misses_keep_the_order_of_the_others(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"},
                                       {"order", "listed"},
                                       {"near-miss", "yes"},
                                       {"rounds", "2"},
                                       {NULL, NULL}};
    struct hf_cue cue;
    int places[12] = {0}, expected = 1;
    for (uint64_t seed = 0; seed < 3000; seed++) {
        ask(settings);
        request.seed = seed;
        assert_ok(hf_schedule_init(&schedule, &request, NULL));
        for (int i = 0; hf_schedule_next(&schedule, &cue); i++) {
            places[i % 12] += cue.id == 0;
            if (cue.id == 0)
                continue;
            assert_int_equal(cue.id, expected);
            expected = expected % 6 + 1;
        }
    }
    /* derived: a near miss takes each place half of the time; 6000 rounds, five deviations */
    for (int i = 0; i < 12; i++)
        assert_in_range(places[i], 3000 - 194, 3000 + 194);
}

/* ---- levels ---------------------------------------------------------------------------------- */

static const struct setting slow[] = {{"held", "C E G#"}, {"every", "3s"}, {"lead-in", "1s"},
                                      {"rounds", "16"},   {"seed", "11"},  {NULL, NULL}};

static void each_level_sounds_in_its_own_way(void **state)
{
    (void)state;
    for (int level = 1; level <= HF_LEVELS; level++) {
        char text[2] = {(char)('0' + level), 0};
        const struct setting settings[] = {{"held", "C E G#"}, {"level", text}, {"rounds", "6"},
                                           {"every", "3s"},    {"seed", "2"},   {NULL, NULL}};
        begin(settings);
        struct hf_voicing held;
        hf_pcset pcs;
        hf_schedule_first_hold(&schedule, &pcs, &held);
        /* derived: the lowest note an octave lower, where its place is what is asked for */
        assert_int_equal(held.notes[0], level == 2 ? 36 : 48);
        assert_int_equal(held.notes[1], 52);
        run_to(INT64_MAX);
        int differ = 0;
        const struct hf_timeline_cue *by_id[7] = {NULL};
        for (size_t i = 0; i < conductor.timeline.count; i++) {
            const struct hf_timeline_cue *cue = &conductor.timeline.cues[i];
            assert_int_equal(cue->level, level);
            assert_true(cue->record.manner.staggered);
            assert_int_equal(cue->record.manner.stagger, level <= 4 ? 5600 : 0);
            assert_int_equal(cue->record.manner.rests, level == 6);
            assert_false(cue->has_hold);
            const struct hf_timeline_cue *other = by_id[cue->record.id];
            differ += other && memcmp(other->record.notes, cue->record.notes, 3) != 0;
            by_id[cue->record.id] = cue;
        }
        assert_int_equal(conductor.timeline.count, 36);
        if (level <= 3)
            assert_int_equal(differ, 0);
        else
            assert_true(differ > 20);
        int rests = 0;
        for (int i = 0; i < v.rows; i++)
            rests += v.trace[i].kind == HF_ACTION_REST;
        assert_int_equal(rests, level == 6 ? 36 : 0);
        finish();
    }
}

/* A player who answers `after` the cue began: right, or wrong where `wrong` says so. */
static void play_round(uint32_t round, int64_t after, const char *wrong)
{
    for (uint32_t i = 0; i < 6; i++) {
        uint32_t number = round * 6 + i;
        while (conductor.running < number + 1)
            run_to(v.transport.now + HF_GRID);
        const struct hf_timeline_cue *cue = &conductor.timeline.cues[number];
        run_to(cue->at + after);
        struct hf_question q;
        hf_levels_ask(request.held.set, schedule.completions, schedule.count, cue->level, false,
                      cue->record.pcs, &q);
        int choice = wrong[i] == 'w' ? (q.answer + 1) % q.count : q.answer;
        assert_ok(press((enum hf_key)(HF_KEY_CHOICE_1 + choice)));
    }
}

static int level_of(uint32_t number)
{
    while (conductor.running < number + 1 && !hf_transport_done(&v.transport))
        run_to(v.transport.now + HF_GRID);
    return conductor.timeline.cues[number].level;
}

static void a_player_goes_up_and_down_as_the_rounds_went(void **state)
{
    (void)state;
    static const struct {
        const char *wrong;
        int next; /* level of the round after it */
    } rounds[] = {{"......", 1}, {".....w", 2}, {"......", 2}, {"w.....", 3}, {"..ww..", 3},
                  {"......", 3}, {"....w.", 4}, {"wwww..", 3}, {"wwwwww", 2}, {"www...", 2},
                  {"......", 2}, {"ww....", 2}, {"......", 2}, {"......", 3}, {"......", 3}};
    begin(slow);
    assert_int_equal(level_of(0), 1);
    for (uint32_t i = 0; i < 15; i++) {
        play_round(i, 8000, rounds[i].wrong);
        assert_int_equal(level_of(6 * (i + 1)), rounds[i].next);
        for (uint32_t k = 0; k < 6; k++) /* never within a round */
            assert_int_equal(conductor.timeline.cues[6 * i + k].level,
                             conductor.timeline.cues[6 * i].level);
    }
    assert_int_equal(lines_with("\"t\":\"level\""), 7); /* the start and six changes */
    assert_int_equal(lines_with("\"t\":\"level\",\"at\":0,\"level\":1,\"why\":\"start\""), 1);
    assert_int_equal(lines_with("\"why\":\"up\""), 4);
    assert_int_equal(lines_with("\"why\":\"down\""), 2);
    assert_int_equal(lines_with("\"t\":\"stay\""), 0);
    run_to(INT64_MAX);
    finish();
}

static void ten_minutes_of_a_player_who_always_knows_reach_the_top(void **state)
{
    (void)state;
    /* derived: 24 cues of 25 s are ten minutes; with two rounds a level the fifth needs eight */
    const struct setting settings[] = {
        {"held", "C E G#"}, {"every", "25s"}, {"rounds", "12"}, {"seed", "3"}, {NULL, NULL}};
    begin(settings);
    for (uint32_t i = 0; i < 12; i++)
        play_round(i, 20000, "......");
    run_to(INT64_MAX);
    for (uint32_t i = 0; i < 12; i++)
        assert_int_equal(conductor.timeline.cues[6 * i].level, i / 2 + 1 > 6 ? 6 : i / 2 + 1);
    assert_true(conductor.timeline.end_at > 10 * 60 * (int64_t)RATE);
    /* the held notes change their voicing for the second level, and change back */
    assert_true(conductor.timeline.cues[12].has_hold);
    assert_int_equal(conductor.timeline.cues[12].hold.notes[0], 36);
    assert_true(conductor.timeline.cues[24].has_hold);
    assert_int_equal(conductor.timeline.cues[24].hold.notes[0], 48);
    finish();
}

static void the_last_round_brings_a_level_for_the_next_time(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "3s"},  {"rounds", "2"},
                                       {"level", "3+"},    {"lead-in", "0"}, {NULL, NULL}};
    begin(settings);
    play_round(0, 8000, "......");
    play_round(1, 8000, "......");
    run_to(INT64_MAX);
    assert_int_equal(conductor.timeline.level, 4);
    finish();
}

static void a_fixed_level_stays(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "3s"},  {"rounds", "4"},
                                       {"level", "3"},     {"lead-in", "0"}, {NULL, NULL}};
    begin(settings);
    for (uint32_t i = 0; i < 4; i++)
        play_round(i, 8000, "......");
    run_to(INT64_MAX);
    assert_int_equal(conductor.timeline.level, 3);
    assert_int_equal(lines_with("\"t\":\"level\""), 1);
    finish();
}

/* The mark of the last cue decides, however late it comes. */
static void the_last_cue_of_a_round_counts(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "3s"},  {"rounds", "4"},
                                       {"level", "3+"},    {"lead-in", "0"}, {NULL, NULL}};
    for (int way = 0; way < 4; way++) {
        begin(settings);
        play_round(0, 8000, "......");
        for (uint32_t i = 6; i < 11; i++) {
            level_of(i);
            run_to(conductor.timeline.cues[i].tell + HF_GRID);
            assert_ok(press(i == 6 ? HF_KEY_MISSED : HF_KEY_GOT));
        }
        level_of(11);
        const struct hf_timeline_cue *last = &conductor.timeline.cues[11];
        assert_int_equal(conductor.timeline.count, 12); /* the next is not laid yet */
        run_to(last->tell + HF_GRID);
        if (way == 0) /* the second miss, in time */
            assert_ok(press(HF_KEY_MISSED));
        if (way == 1) /* known; laid at once */
            assert_ok(press(HF_KEY_GOT));
        if (way == 2) /* left without a mark, which is no got */
            assert_ok(press(HF_KEY_NEXT));
        assert_int_equal(conductor.timeline.count, way == 3 ? 12 : 13);
        assert_int_equal(level_of(12), way == 1 ? 4 : 3);
        /* and where nobody marks it, nothing stands still */
        assert_int_equal(lines_with("\"t\":\"stay\""), 0);
        assert_int_equal(conductor.timeline.cues[12].at, conductor.timeline.cues[11].end);
        run_to(INT64_MAX);
        finish();
    }
}

static void without_a_player_it_goes_through_at_its_level(void **state)
{
    (void)state;
    begin(slow);
    run_to(INT64_MAX);
    assert_int_equal(conductor.timeline.count, 96);
    assert_int_equal(lines_with("\"t\":\"level\""), 1);
    assert_int_equal(lines_with("\"t\":\"stay\""), 0);
    assert_int_equal(conductor.timeline.end_at, RATE + 96 * 3 * RATE);
    finish();
}

/* Nexts in quick succession over a round's edge get through, withheld cue or not. */
static void a_row_of_nexts_goes_over_the_edge_of_a_round(void **state)
{
    (void)state;
    begin(slow);
    run_to(RATE + 800);
    for (int i = 0; i < 20; i++) {
        assert_ok(press(HF_KEY_NEXT));
        if (i % 3 < 2)
            continue;
        run_to(v.transport.now + 5 * HF_GRID);
        assert_int_equal(conductor.running, i + 2);
    }
    run_to(v.transport.now + 5 * HF_GRID);
    assert_int_equal(conductor.running, 21);
    finish();
}

static void the_last_cue_may_be_marked_in_a_stay(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "3s"},  {"rounds", "2"},
                                       {"level", "3+"},    {"lead-in", "0"}, {NULL, NULL}};
    for (int marked = 0; marked < 2; marked++) {
        begin(settings);
        level_of(5);
        run_to(conductor.timeline.cues[5].at + 8000);
        assert_ok(press(HF_KEY_STAY));
        run_to(v.transport.now + 100000);
        assert_int_equal(conductor.timeline.count, 6);
        if (marked)
            assert_ok(press(HF_KEY_CHOICE_1));
        assert_int_equal(conductor.timeline.count, marked ? 7 : 6);
        assert_ok(press(HF_KEY_STAY));
        assert_int_equal(level_of(6), 3);
        assert_int_equal(conductor.timeline.cues[6].at, conductor.timeline.cues[5].end);
        finish();
    }
}

/* ---- answers --------------------------------------------------------------------------------- */

static void an_answer_names_the_cue_and_marks_it(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "3s"},   {"rounds", "1"},
                                       {"level", "3"},     {"lead-in", "1s"}, {NULL, NULL}};
    begin(settings);
    run_to(12800);
    const struct hf_timeline_cue *cue = &conductor.timeline.cues[0];
    int right = cue->record.id;
    assert_ok(press((enum hf_key)(HF_KEY_CHOICE_1 + right - 1)));
    run_to(12800 + HF_GRID);
    char expected[200];
    snprintf(expected, sizeof expected,
             "\"t\":\"answer\",\"at\":12800,\"cue\":%ld,\"id\":%d,\"right\":true", cue->record.n,
             right);
    assert_int_equal(lines_with(expected), 1);
    assert_int_equal(lines_with("\"t\":\"mark\",\"at\":12800,"), 1);
    assert_int_equal(lines_with("\"t\":\"reveal\",\"at\":12800,"), 1);
    cue = &conductor.timeline.cues[0];
    assert_int_equal(cue->tell, 12800);
    assert_true(cue->answered && cue->right && cue->marked);
    assert_int_equal(cue->mark, HF_MARK_GOT);
    /* twice does nothing, nor does another number */
    size_t length = v.length;
    for (int key = HF_KEY_CHOICE_1; key <= HF_KEY_CHOICE_NONE; key++)
        assert_int_equal(press((enum hf_key)key), HF_E_USAGE);
    assert_string_equal(refusal.message, "it is answered already");
    assert_int_equal(press(HF_KEY_REVEAL), HF_E_USAGE);
    assert_int_equal(v.length, length);
    /* the player may still think otherwise */
    assert_ok(press(HF_KEY_MISSED));
    assert_int_equal(conductor.timeline.cues[0].mark, HF_MARK_MISSED);
    finish();
}

static void keys_too_early_or_too_late_do_nothing(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "3s"},   {"rounds", "1"},
                                       {"level", "3"},     {"lead-in", "1s"}, {NULL, NULL}};
    begin(settings);
    run_to(1600);
    assert_int_equal(press(HF_KEY_CHOICE_1), HF_E_USAGE);
    assert_string_equal(refusal.message, "nothing has sounded yet: no answer is asked for");
    assert_int_equal(press(HF_KEY_GOT), HF_E_USAGE); /* a stray */
    assert_string_equal(refusal.message, "no cue has been named yet: nothing to mark");
    run_to(12800);
    assert_int_equal(press(HF_KEY_GOT), HF_E_USAGE); /* it sounds, and is not named yet */
    assert_int_equal(press(HF_KEY_CHOICE_7), HF_E_USAGE);
    assert_string_equal(refusal.message, "the answers are 1 to 6 here");
    assert_int_equal(press(HF_KEY_CHOICE_NONE), HF_E_USAGE);
    run_to(RATE + 20000); /* named by itself */
    assert_int_equal(press(HF_KEY_CHOICE_1), HF_E_USAGE);
    assert_string_equal(refusal.message, "it is named already: g got it, m missed it");
    assert_int_equal(lines_with("\"t\":\"answer\""), 0);
    assert_ok(press(HF_KEY_PAUSE));
    run_to(v.transport.now + HF_GRID);
    assert_int_equal(press(HF_KEY_CHOICE_1), HF_E_USAGE);
    assert_string_equal(refusal.message, "paused: p goes on");
    finish();
}

static void a_near_miss_is_told_by_its_own_key(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"},   {"every", "3s"}, {"rounds", "2"},
                                       {"near-miss", "yes"}, {"level", "3"},  {"lead-in", "0"},
                                       {NULL, NULL}};
    begin(settings);
    int near = 0;
    for (uint32_t i = 0; i < 24; i++) {
        level_of(i);
        run_to(conductor.timeline.cues[i].at + 8000);
        bool is_near = conductor.timeline.cues[i].record.id == 0;
        assert_ok(press(HF_KEY_CHOICE_NONE));
        assert_int_equal(conductor.timeline.cues[i].right, is_near);
        assert_int_equal(conductor.timeline.cues[i].mark, is_near ? HF_MARK_GOT : HF_MARK_MISSED);
        assert_int_equal(conductor.timeline.cues[i].answer, 0);
        near += is_near;
    }
    assert_int_equal(near, 12);
    run_to(INT64_MAX);
    finish();
}

static void with_wait_the_first_press_names_and_the_second_goes_on(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C E G#"}, {"every", "wait"}, {"rounds", "4"},
                                       {"level", "3+"},    {"lead-in", "0"},  {NULL, NULL}};
    begin(settings);
    for (uint32_t i = 0; i < 24; i++) {
        level_of(i);
        run_to(v.transport.now + 20000);
        const struct hf_timeline_cue *cue = &conductor.timeline.cues[i];
        assert_true(hf_timeline_shown(&conductor.timeline, cue->hear, v.transport.now));
        assert_int_equal(cue->tell, HF_NEVER);
        if (i % 2) {
            assert_ok(press(HF_KEY_NEXT));
            run_to(v.transport.now + 8000);
            assert_ok(press(HF_KEY_GOT));
        } else {
            assert_ok(press((enum hf_key)(HF_KEY_CHOICE_1 + cue->record.id - 1)));
            run_to(v.transport.now + 8000);
        }
        assert_int_not_equal(conductor.timeline.cues[i].tell, HF_NEVER);
        assert_int_equal(conductor.running, i + 1);
        assert_ok(press(HF_KEY_NEXT));
    }
    run_to(INT64_MAX);
    assert_int_equal(conductor.timeline.level, 5);
    finish();
}

static void what_does_not_go_with_ear_is_refused(void **state)
{
    (void)state;
    static const struct setting bad[] = {
        {"cue", "silent"},  {"cue", "lead"},    {"cue", "confirm"},     {"cue", "gap"},
        {"cue", "reverse"}, {"hand", "guitar"}, {"from", "0 1 2 4 7 8"}};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        hf_request_init(&request);
        assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "ear", NULL));
        set_option(&request, bad[i].key, bad[i].value);
        assert_int_equal(hf_request_resolve(&request, &refusal), HF_E_USAGE);
        assert_non_null(strstr(refusal.message, "leave"));
    }
    static const char *const levels[] = {"0",  "7",   "",    "+",          "1++",
                                         "-1", "2.5", "one", "99999999999"};
    for (size_t i = 0; i < sizeof levels / sizeof levels[0]; i++)
        assert_int_equal(hf_request_set(&request, HF_OPT_LEVEL, levels[i], &refusal), HF_E_USAGE);
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_LEVEL, "3", NULL));
    assert_int_equal(hf_request_resolve(&request, &refusal), HF_E_USAGE); /* of improvise */
    /* a minor triad's 016s are of no kinds, and have no near misses that would be fair */
    const struct setting minor[] = {{"held", "C Eb G"}, {"level", "1"}, {NULL, NULL}};
    ask(minor);
    assert_int_equal(hf_schedule_init(&schedule, &request, &refusal), HF_E_USAGE);
    const struct setting near[] = {{"held", "C Eb G"}, {"near-miss", "yes"}, {NULL, NULL}};
    ask(near);
    assert_int_equal(hf_schedule_init(&schedule, &request, &refusal), HF_E_USAGE);
    /* derived: nine of a row of semitones leave the other three, which are one 012 */
    const struct setting lone[] = {{"held", "0 1 2 3 4 5 6 7 8"}, {"added", "012"}, {NULL, NULL}};
    ask(lone);
    assert_int_equal(hf_schedule_init(&schedule, &request, &refusal), HF_E_USAGE);
    const struct setting plain[] = {{"held", "C Eb G"}, {NULL, NULL}};
    ask(plain);
    assert_ok(hf_schedule_init(&schedule, &request, NULL));
    assert_int_equal(schedule.ear.level, 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_round_holds_what_it_should_over_10000_seeds),
        cmocka_unit_test(near_misses_keep_the_order_of_the_others),
        cmocka_unit_test(each_level_sounds_in_its_own_way),
        cmocka_unit_test(a_player_goes_up_and_down_as_the_rounds_went),
        cmocka_unit_test(ten_minutes_of_a_player_who_always_knows_reach_the_top),
        cmocka_unit_test(the_last_round_brings_a_level_for_the_next_time),
        cmocka_unit_test(a_fixed_level_stays),
        cmocka_unit_test(the_last_cue_of_a_round_counts),
        cmocka_unit_test(without_a_player_it_goes_through_at_its_level),
        cmocka_unit_test(a_row_of_nexts_goes_over_the_edge_of_a_round),
        cmocka_unit_test(the_last_cue_may_be_marked_in_a_stay),
        cmocka_unit_test(an_answer_names_the_cue_and_marks_it),
        cmocka_unit_test(keys_too_early_or_too_late_do_nothing),
        cmocka_unit_test(a_near_miss_is_told_by_its_own_key),
        cmocka_unit_test(with_wait_the_first_press_names_and_the_second_goes_on),
        cmocka_unit_test(what_does_not_go_with_ear_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
