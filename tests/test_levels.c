/* SPDX-License-Identifier: MIT */
/* The levels of ear training. Near misses are counted by brute force over all three-note sets;
 * facts about them are computed facts of the theory (one 015 and one 026 beside each completion).
 */
#include <holdfast/levels.h>

#include <string.h>

#include "check.h"

static struct hf_completion six[HF_COMPLETIONS_MOST];

static hf_pcset triad(int n)
{
    return hf_pcset_transpose(1u << 0 | 1u << 4 | 1u << 8, n);
}

static int complete(hf_pcset held)
{
    return hf_pairing_complete(held, hf_setclass_find(3, 5), six);
}

static int bits(unsigned set)
{
    int count = 0;
    for (; set; set &= set - 1)
        count++;
    return count;
}

static int distance(hf_pcset a, hf_pcset b) /* of two sets that differ in one note */
{
    int from = 0, to = 0;
    while (!(a & ~b & 1u << from))
        from++;
    while (!(b & ~a & 1u << to))
        to++;
    int step = (to - from + 12) % 12;
    return step < 12 - step ? step : 12 - step;
}

static void each_completion_has_one_015_and_one_026_beside_it(void **state)
{
    (void)state;
    for (int n = 0; n < 4; n++) {
        struct hf_near_miss near[HF_NEAR_MISSES_MOST];
        int count = complete(triad(n));
        assert_int_equal(hf_levels_near_misses(triad(n), six, count, near), 12);
        int found = 0;
        for (unsigned set = 0; set < 4096; set++) { /* derived: every set of three is tried */
            if (bits(set) != 3 || (set & triad(n)))
                continue;
            for (int i = 0; i < count; i++) {
                if (bits(set & six[i].pcs) != 2 || distance(six[i].pcs, (hf_pcset)set) != 1)
                    continue;
                const char *name = hf_setclass_of((hf_pcset)set)->name;
                bool is_near = strcmp(name, "3-4") == 0 || strcmp(name, "3-8") == 0;
                int listed = 0;
                for (int k = 0; k < 12; k++)
                    listed += near[k].pcs == set && near[k].of == six[i].id;
                assert_int_equal(listed, is_near);
                /* published: facts of the pairing: 015 makes 6-22, 026 makes 6-Z19 */
                if (is_near)
                    assert_string_equal(hf_setclass_of((hf_pcset)(set | triad(n)))->name,
                                        strcmp(name, "3-4") == 0 ? "6-22" : "6-Z19");
                found += is_near;
            }
        }
        assert_int_equal(found, 12);
    }
}

static void other_sets_have_no_near_misses(void **state)
{
    (void)state;
    struct hf_near_miss near[HF_NEAR_MISSES_MOST];
    struct hf_completion some[HF_COMPLETIONS_MOST];
    hf_pcset held = 1u << 0 | 1u << 3 | 1u << 7;
    int count = complete(held);
    assert_true(count > 0);
    assert_int_equal(hf_levels_near_misses(held, six, count, near), 0);
    count = hf_pairing_complete(triad(0), hf_setclass_find(3, 7), some);
    assert_true(count > 0);
    assert_int_equal(hf_levels_near_misses(triad(0), some, count, near), 0);
    assert_int_equal(hf_levels_near_misses(triad(0), some, 0, near), 0);
}

static void two_good_rounds_go_up_and_one_bad_round_goes_down(void **state)
{
    (void)state;
    /* derived: at most one miss of six twice in a row; more than half is four of six and more */
    static const struct {
        int got, missed, change, level;
    } rows[] = {
        {6, 0, 0, 1}, {5, 1, 1, 2}, {6, 0, 0, 2},  {4, 2, 0, 2},  {6, 0, 0, 2},
        {5, 0, 1, 3}, {3, 3, 0, 3}, {2, 4, -1, 2}, {0, 6, -1, 1}, {0, 6, 0, 1},
        {6, 0, 0, 1}, {0, 0, 0, 1}, {6, 0, 0, 1},  {6, 0, 1, 2},
    };
    struct hf_levels levels = {.level = 1, .lowest = 1};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(hf_levels_take_round(&levels, 6, rows[i].got, rows[i].missed),
                         rows[i].change);
        assert_int_equal(levels.level, rows[i].level);
    }
}

static void the_highest_and_the_lowest_level_stay(void **state)
{
    (void)state;
    struct hf_levels levels = {.level = HF_LEVELS, .lowest = 3};
    for (int i = 0; i < 5; i++)
        assert_int_equal(hf_levels_take_round(&levels, 6, 6, 0), 0);
    for (int level = HF_LEVELS - 1; level >= 3; level--)
        assert_int_equal(hf_levels_take_round(&levels, 6, 0, 6), -1);
    assert_int_equal(hf_levels_take_round(&levels, 6, 0, 6), 0);
    assert_int_equal(levels.level, 3);
    levels = (struct hf_levels){.level = 2, .lowest = 1, .fixed = true};
    for (int i = 0; i < 5; i++)
        assert_int_equal(hf_levels_take_round(&levels, 6, 6, 0), 0);
    assert_int_equal(hf_levels_take_round(&levels, 6, 0, 6), 0);
}

static void the_first_level_asks_for_the_kind(void **state)
{
    (void)state;
    for (int n = 0; n < 4; n++) {
        int count = complete(triad(n));
        assert_int_equal(hf_levels_lowest(six, count), 1);
        for (int i = 0; i < count; i++) {
            struct hf_question q;
            hf_levels_ask(triad(n), six, count, 1, false, six[i].pcs, &q);
            assert_int_equal(q.count, 2); /* published: two kinds, three positions each */
            assert_int_equal(q.choice[0].count, 3);
            assert_int_equal(q.choice[1].count, 3);
            assert_int_equal(q.answer, six[i].kind - 1);
            assert_int_equal(q.choice[q.answer].id, six[i].id);
            /* the other choice is recorded as the completion in the same position */
            assert_int_equal(six[q.choice[1 - q.answer].id - 1].position, six[i].position);
            assert_false(q.none);
        }
    }
}

static void the_second_level_asks_for_the_position_within_the_kind(void **state)
{
    (void)state;
    int count = complete(triad(1));
    for (int i = 0; i < count; i++) {
        struct hf_question q;
        hf_levels_ask(triad(1), six, count, 2, true, six[i].pcs, &q);
        assert_int_equal(q.count, 3);
        assert_true(q.none);
        for (int k = 0; k < 3; k++) {
            assert_int_equal(q.choice[k].count, 1);
            assert_int_equal(six[q.choice[k].id - 1].kind, six[i].kind);
            assert_int_equal(six[q.choice[k].id - 1].position, k + 1);
        }
        assert_int_equal(q.answer, six[i].position - 1);
    }
}

static void from_the_third_level_on_each_has_its_number(void **state)
{
    (void)state;
    int count = complete(triad(2));
    for (int level = 3; level <= HF_LEVELS; level++)
        for (int i = 0; i < count; i++) {
            struct hf_question q;
            hf_levels_ask(triad(2), six, count, level, false, six[i].pcs, &q);
            assert_int_equal(q.count, 6);
            assert_int_equal(q.answer, i);
            for (int k = 0; k < 6; k++)
                assert_int_equal(q.choice[k].id, k + 1);
        }
}

static void a_near_miss_is_none_of_them_and_asked_as_its_neighbour(void **state)
{
    (void)state;
    struct hf_near_miss near[HF_NEAR_MISSES_MOST];
    int count = complete(triad(0));
    int misses = hf_levels_near_misses(triad(0), six, count, near);
    for (int i = 0; i < misses; i++)
        for (int level = 1; level <= HF_LEVELS; level++) {
            struct hf_question q;
            hf_levels_ask(triad(0), six, count, level, true, near[i].pcs, &q);
            assert_true(q.none);
            assert_int_equal(q.answer, -1);
            if (level == 2)
                assert_int_equal(six[q.choice[0].id - 1].kind, six[near[i].of - 1].kind);
        }
}

static void where_there_are_no_kinds_the_first_level_asks_for_all(void **state)
{
    (void)state;
    /* derived: a triad that only T0 keeps has every completion in a kind of its own */
    hf_pcset held = 1u << 0 | 1u << 3 | 1u << 7;
    int count = complete(held);
    assert_int_equal(hf_levels_lowest(six, count), 3);
    struct hf_question q;
    hf_levels_ask(held, six, count, 3, false, six[0].pcs, &q);
    assert_int_equal(q.count, count < HF_CHOICES_MOST ? count : HF_CHOICES_MOST);
}

static void what_stays_in_place_lies_in_normal_order_and_lowest(void **state)
{
    (void)state;
    static struct hf_voicing list[HF_VOICINGS_MOST];
    for (int n = 0; n < 4; n++) {
        int count = complete(triad(n)), shape[3] = {0};
        for (int i = 0; i < count; i++) {
            int voicings = hf_voicing_list(six[i].pcs, 60, 84, list);
            int at = hf_levels_place(six[i].pcs, list, voicings);
            const struct hf_voicing *one = &list[at];
            assert_true(one->notes[0] >= 60 && one->notes[0] < 72);
            assert_int_equal(hf_voicing_span(one), 6); /* published: 016 spans a tritone */
            /* of one kind all lie alike, and the two kinds are upside down to each other */
            int inner = one->notes[1] - one->notes[0];
            if (shape[six[i].kind] == 0)
                shape[six[i].kind] = inner;
            assert_int_equal(inner, shape[six[i].kind]);
        }
        assert_int_equal(shape[1] + shape[2], 6);
    }
    assert_int_equal(hf_levels_place(six[0].pcs, list, 0), -1);
}

static void a_clear_lowest_note_lies_an_octave_lower(void **state)
{
    (void)state;
    struct hf_voicing held = {.count = 3, .notes = {48, 52, 56}};
    assert_int_equal(hf_levels_clear(&held).notes[0], 36);
    assert_int_equal(hf_levels_clear(&held).notes[2], 56);
    held.notes[0] = 39; /* down would be 27, under E1 */
    held.notes[1] = 43;
    assert_int_equal(hf_levels_clear(&held).notes[0], 39);
    held = (struct hf_voicing){.count = 3, .notes = {48, 60, 68}};
    assert_int_equal(hf_levels_clear(&held).notes[0], 48);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_completion_has_one_015_and_one_026_beside_it),
        cmocka_unit_test(other_sets_have_no_near_misses),
        cmocka_unit_test(two_good_rounds_go_up_and_one_bad_round_goes_down),
        cmocka_unit_test(the_highest_and_the_lowest_level_stay),
        cmocka_unit_test(the_first_level_asks_for_the_kind),
        cmocka_unit_test(the_second_level_asks_for_the_position_within_the_kind),
        cmocka_unit_test(from_the_third_level_on_each_has_its_number),
        cmocka_unit_test(a_near_miss_is_none_of_them_and_asked_as_its_neighbour),
        cmocka_unit_test(where_there_are_no_kinds_the_first_level_asks_for_all),
        cmocka_unit_test(what_stays_in_place_lies_in_normal_order_and_lowest),
        cmocka_unit_test(a_clear_lowest_note_lies_an_octave_lower),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
