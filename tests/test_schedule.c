/* SPDX-License-Identifier: MIT */
/* Orders and voicings: what the contract says of them, over many seeds. */
#include "check.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/schedule.h>

static struct hf_schedule schedule; /* large */

static struct hf_request request_with(enum hf_option key, const char *text, uint64_t seed)
{
    struct hf_request r;
    hf_request_init(&r);
    assert_ok(hf_request_set(&r, HF_OPT_HELD, "C E G#", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_ROUNDS, "4", NULL));
    assert_ok(hf_request_set(&r, key, text, NULL));
    r.seed = seed;
    assert_ok(hf_request_resolve(&r, NULL));
    return r;
}

static void shuffle_gives_all_once_a_round_and_none_twice_in_a_row(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < 10000; seed++) {
        struct hf_request r = request_with(HF_OPT_ORDER, "shuffle", seed);
        struct hf_cue cue;
        int last = 0, count = 0;
        unsigned seen = 0;
        assert_ok(hf_schedule_init(&schedule, &r, NULL));
        while (hf_schedule_next(&schedule, &cue)) {
            assert_int_not_equal(cue.id, last);
            assert_false(seen >> cue.id & 1);
            seen |= 1u << cue.id;
            last = cue.id;
            assert_int_equal(cue.serial, ++count);
            if (count % 6 == 0) {
                assert_int_equal(seen, 0x7e);
                seen = 0;
            }
        }
        assert_int_equal(count, 24);
    }
}

/* Within a round each completion should follow each other equally often: 30 ordered pairs. */
static void shuffle_has_no_favourite_successor(void **state)
{
    (void)state;
    double pairs[7][7] = {{0}}, chi = 0, total = 0;
    for (uint64_t seed = 0; seed < 4000; seed++) {
        struct hf_request r = request_with(HF_OPT_ROUNDS, "1", seed);
        struct hf_cue cue;
        int last = 0;
        assert_ok(hf_schedule_init(&schedule, &r, NULL));
        for (; hf_schedule_next(&schedule, &cue); last = cue.id)
            if (last) {
                pairs[last][cue.id]++;
                total++;
            }
    }
    for (int a = 1; a <= 6; a++)
        for (int b = 1; b <= 6; b++)
            if (a != b)
                chi += (pairs[a][b] - total / 30) * (pairs[a][b] - total / 30) / (total / 30);
    /* published: chi-squared with 29 degrees of freedom exceeds 58.3 once in a thousand */
    assert_true(chi < 58.3);
}

static void ring_goes_to_a_neighbour_each_time(void **state)
{
    (void)state;
    bool starts[7] = {false};
    for (uint64_t seed = 0; seed < 200; seed++) {
        struct hf_request r = request_with(HF_OPT_ORDER, "ring", seed);
        struct hf_cue cue;
        hf_pcset last = 0;
        assert_ok(hf_schedule_init(&schedule, &r, NULL));
        while (hf_schedule_next(&schedule, &cue)) {
            /* published: the ring's steps move four semitones in all (exhaustive computation) */
            if (last)
                assert_int_equal(hf_pcset_movement(last, cue.pcs, NULL), 4);
            else
                starts[cue.id] = true;
            last = cue.pcs;
        }
    }
    for (int id = 1; id <= 6; id++)
        assert_true(starts[id]); /* no place is always the first */
}

static void a_completion_comes_in_another_voicing_each_time(void **state)
{
    (void)state;
    static const char *const registers[] = {"above", "through", "below", "C4:C6", "all"};
    for (size_t way = 0; way < 5; way++)
        for (uint64_t seed = 0; seed < 300; seed++) {
            struct hf_request r = request_with(HF_OPT_REGISTER, registers[way], seed);
            struct hf_voicing last[7];
            struct hf_cue cue;
            memset(last, 0, sizeof last);
            assert_ok(hf_schedule_init(&schedule, &r, NULL));
            while (hf_schedule_next(&schedule, &cue)) {
                assert_false(hf_voicing_same(&last[cue.id], &cue.voicing));
                last[cue.id] = cue.voicing;
            }
        }
}

/* derived: the registers as the contract gives them, for C3 E3 G#3 (48 52 56). */
static void notes_lie_in_their_register(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int low, high;
    } rows[] = {{"above", 60, 84}, {"through", 36, 68}, {"below", 28, 47}, {"E4:E6", 64, 88}};
    for (size_t i = 0; i < 4; i++)
        for (uint64_t seed = 0; seed < 200; seed++) {
            struct hf_request r = request_with(HF_OPT_REGISTER, rows[i].text, seed);
            struct hf_cue cue;
            assert_ok(hf_schedule_init(&schedule, &r, NULL));
            while (hf_schedule_next(&schedule, &cue)) {
                hf_pcset set = 0;
                bool between = false;
                for (int n = 0; n < cue.voicing.count; n++) {
                    int midi = cue.voicing.notes[n];
                    assert_in_range(midi, rows[i].low, rows[i].high);
                    set = (hf_pcset)(set | 1 << midi % 12);
                    between |= midi > 48 && midi < 56;
                }
                assert_int_equal(set, cue.pcs);
                assert_true(i != 1 || between);
            }
        }
}

static void above_reaches_two_octaves_over_a_high_triad(void **state)
{
    (void)state;
    int low, high;
    struct hf_request r = request_with(HF_OPT_HELD, "C5 E5 G#5", 1);
    assert_ok(hf_schedule_init(&schedule, &r, NULL));
    hf_schedule_register(&schedule, 0, &low, &high);
    assert_int_equal(low, 84);  /* derived: an octave over C5 */
    assert_int_equal(high, 96); /* derived: two octaves over C5, higher than C6 */
}

static enum hf_status refusal(enum hf_option key, const char *text, struct hf_diag *diag)
{
    struct hf_request r;
    hf_request_init(&r);
    assert_ok(hf_request_set(&r, HF_OPT_HELD, "C E G#", NULL));
    assert_ok(hf_request_set(&r, key, text, NULL));
    assert_ok(hf_request_resolve(&r, NULL));
    return hf_schedule_init(&schedule, &r, diag);
}

static void what_can_not_be_played_is_refused_with_its_reason(void **state)
{
    (void)state;
    struct hf_diag diag;
    assert_int_equal(refusal(HF_OPT_REGISTER, "C4:E4", &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.message, "no room"));
    assert_int_equal(refusal(HF_OPT_HELD, "E1 G#1 C2", &diag), HF_OK);
    assert_int_equal(refusal(HF_OPT_FOR, "30s", &diag), HF_E_USAGE); /* 10 s and 20 s of 25 */
    assert_non_null(strstr(diag.message, "not one whole cue"));
    assert_int_equal(refusal(HF_OPT_ADDED, "048", &diag), HF_OK);
    /* derived: every 6-35 holds or shares notes with an augmented triad */
    assert_int_equal(refusal(HF_OPT_ADDED, "10-1", &diag), HF_E_USAGE);
    assert_true(diag.message[0] != 0);
}

static void for_counts_from_the_first_sample_and_gives_whole_cues(void **state)
{
    (void)state;
    struct hf_diag diag;
    assert_ok(refusal(HF_OPT_FOR, "35s", &diag));
    assert_int_equal(schedule.total, 1); /* derived: 10 s and one of 25 s */
    assert_ok(refusal(HF_OPT_FOR, "5m", &diag));
    assert_int_equal(schedule.total, 11); /* derived: (300 - 10) / 25 = 11.6; no rounds asked */
    struct hf_request r;
    hf_request_init(&r);
    assert_ok(hf_request_set(&r, HF_OPT_FOR, "1h", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_ROUNDS, "3", NULL));
    assert_ok(hf_request_resolve(&r, NULL));
    assert_ok(hf_schedule_init(&schedule, &r, NULL));
    assert_int_equal(schedule.total, 18); /* of both the shorter */
}

static void near_and_far_go_by_movement(void **state)
{
    (void)state;
    for (int far = 0; far < 2; far++) {
        bool starts[7] = {false};
        for (uint64_t seed = 0; seed < 300; seed++) {
            struct hf_request r = request_with(HF_OPT_ORDER, far ? "far" : "near", seed);
            struct hf_cue cue, sequence[24];
            int count = 0;
            assert_ok(hf_schedule_init(&schedule, &r, NULL));
            while (hf_schedule_next(&schedule, &cue))
                sequence[count++] = cue;
            starts[sequence[0].id] = true;
            for (int i = 1; i < count; i++) {
                /* derived: of those left in this round, none is nearer (farther) to the last one */
                int took = hf_pcset_movement(sequence[i - 1].pcs, sequence[i].pcs, NULL);
                assert_int_not_equal(sequence[i].id, sequence[i - 1].id);
                for (int j = i + 1; j < (i / 6 + 1) * 6; j++) {
                    int other = hf_pcset_movement(sequence[i - 1].pcs, sequence[j].pcs, NULL);
                    assert_true(sequence[j].id == sequence[i - 1].id ||
                                (far ? other <= took : other >= took));
                }
            }
        }
        for (int id = 1; id <= 6; id++)
            assert_true(starts[id]);
    }
}

static void listed_is_the_order_of_the_list(void **state)
{
    (void)state;
    struct hf_request r = request_with(HF_OPT_ORDER, "listed", 5);
    struct hf_cue cue;
    assert_ok(hf_schedule_init(&schedule, &r, NULL));
    for (int i = 0; hf_schedule_next(&schedule, &cue); i++)
        assert_int_equal(cue.id, i % 6 + 1);
}

static void reverse_deals_all_24_in_four_rounds_and_the_triads_evenly(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < 500; seed++) {
        struct hf_request r;
        struct hf_cue cue;
        hf_pcset seen[24], last = 0;
        int answers[4] = {0}, round_answers[4] = {0};
        hf_request_init(&r);
        r.seed = seed;
        assert_ok(hf_request_set(&r, HF_OPT_CUE, "reverse", NULL));
        assert_ok(hf_request_set(&r, HF_OPT_ROUNDS, "8", NULL));
        assert_ok(hf_request_resolve(&r, NULL));
        assert_ok(hf_schedule_init(&schedule, &r, NULL));
        for (int i = 0; hf_schedule_next(&schedule, &cue); i++) {
            /* published: an 016 is completed to 6-Z17 by exactly one augmented triad */
            assert_true(cue.has_hold);
            assert_string_equal(hf_setclass_of(cue.hold_pcs)->name, "3-5");
            assert_string_equal(hf_setclass_of(cue.pcs)->name, "3-12");
            assert_string_equal(hf_setclass_of(cue.pcs | cue.hold_pcs)->name, "6-Z17");
            assert_int_equal(cue.pcs & cue.hold_pcs, 0);
            assert_int_not_equal(cue.pcs, last);
            last = cue.pcs;
            for (int j = 0; j < i % 24; j++)
                assert_int_not_equal(seen[j], cue.hold_pcs);
            seen[i % 24] = cue.hold_pcs;
            for (int triad = 0; triad < 4; triad++)
                if (cue.pcs >> triad & 1) {
                    answers[triad]++;
                    round_answers[triad]++;
                }
            if (i % 6 == 5) {
                for (int triad = 0; triad < 4; triad++)
                    assert_in_range(round_answers[triad], 1, 2);
                memset(round_answers, 0, sizeof round_answers);
            }
        }
        for (int triad = 0; triad < 4; triad++)
            assert_int_equal(answers[triad], 12); /* derived: 48 cues, four triads */
    }
}

static void a_chord_brings_its_own_half_first_then_the_others_by_movement(void **state)
{
    (void)state;
    struct hf_request r;
    struct hf_notes chord, held, added;
    static const uint8_t own[] = {50, 55, 73};
    hf_request_init(&r);
    /* derived by hand: C4 E4 G#4 with D3 G3 C#5, the fourth grip of facts about frets 10 and 9 */
    assert_ok(hf_notes_parse("D3 G3 C4 E4 G#4 C#5", NULL, &chord, NULL));
    assert_ok(hf_notes_parse("C4 E4 G#4", NULL, &held, NULL));
    assert_ok(hf_notes_parse("D3 G3 C#5", NULL, &added, NULL));
    assert_ok(hf_request_split(&r, &held, &added, NULL));
    assert_ok(hf_request_resolve(&r, NULL));
    for (uint64_t seed = 0; seed < 50; seed++) {
        struct hf_cue cue;
        int last = 0;
        r.seed = seed;
        assert_ok(hf_schedule_init(&schedule, &r, NULL));
        for (int i = 0; i < 6; i++) {
            assert_true(hf_schedule_next(&schedule, &cue));
            int distance = hf_pcset_movement(added.set, cue.pcs, NULL);
            assert_true(distance >= last);
            last = distance;
            if (i == 0)
                assert_memory_equal(cue.voicing.notes, own, sizeof own);
        }
    }
}

/* A round is the nth time that the player chooses it: above, through, below, and above again;
 * never twice the same. */
static void what_the_player_chooses_takes_another_voicing_each_time(void **state)
{
    (void)state;
    struct hf_request r;
    hf_request_init(&r);
    assert_ok(hf_request_set(&r, HF_OPT_PRACTICE, "roam", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_HELD, "C E G#", NULL)); /* C3 E3 G#3: 48 to 56 */
    assert_ok(hf_request_set(&r, HF_OPT_REGISTER, "all", NULL));
    for (uint64_t seed = 0; seed < 200; seed++) {
        struct hf_cue cue;
        struct hf_voicing last = {0};
        r.seed = seed;
        assert_ok(hf_request_resolve(&r, NULL));
        assert_ok(hf_schedule_init(&schedule, &r, NULL));
        assert_false(hf_schedule_next(&schedule, &cue)); /* nothing comes by itself */
        for (int visit = 0; visit < 6; visit++) {
            hf_schedule_choose(&schedule, 2, &cue);
            assert_int_equal(cue.id, 3);
            assert_int_equal(cue.serial, 2 * visit + 1);
            int low = cue.voicing.notes[0], high = cue.voicing.notes[2];
            assert_true(visit % 3 != 0 || low >= 60);
            assert_true(visit % 3 != 1 || (low >= 36 && high <= 68));
            assert_true(visit % 3 != 2 || high < 48);
            assert_false(hf_voicing_same(&cue.voicing, &last));
            last = cue.voicing;
            hf_schedule_choose(&schedule, 0, &cue); /* others between have rounds of their own */
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_the_player_chooses_takes_another_voicing_each_time),
        cmocka_unit_test(shuffle_gives_all_once_a_round_and_none_twice_in_a_row),
        cmocka_unit_test(shuffle_has_no_favourite_successor),
        cmocka_unit_test(ring_goes_to_a_neighbour_each_time),
        cmocka_unit_test(a_completion_comes_in_another_voicing_each_time),
        cmocka_unit_test(notes_lie_in_their_register),
        cmocka_unit_test(above_reaches_two_octaves_over_a_high_triad),
        cmocka_unit_test(what_can_not_be_played_is_refused_with_its_reason),
        cmocka_unit_test(near_and_far_go_by_movement),
        cmocka_unit_test(listed_is_the_order_of_the_list),
        cmocka_unit_test(reverse_deals_all_24_in_four_rounds_and_the_triads_evenly),
        cmocka_unit_test(a_chord_brings_its_own_half_first_then_the_others_by_movement),
        cmocka_unit_test(for_counts_from_the_first_sample_and_gives_whole_cues),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
