/* SPDX-License-Identifier: MIT */
/* Every check runs over all 4096 sets, against a plain way of saying the same with lists. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <holdfast/pcset.h>

struct list {
    int pc[12];
    int count;
};

/* A set as a list, by looking at each bit. */
static struct list list_of(unsigned set)
{
    struct list list = {.count = 0};
    for (int pc = 0; pc < 12; pc++)
        if (set & (1u << pc))
            list.pc[list.count++] = pc;
    return list;
}

static void a_set_and_its_list_say_the_same(void **state)
{
    (void)state;
    for (unsigned set = 0; set < HF_SETS; set++) {
        struct list expected = list_of(set);
        int pcs[HF_PCS];
        int count = hf_pcset_list((hf_pcset)set, pcs);
        assert_int_equal(count, expected.count);
        assert_memory_equal(pcs, expected.pc, (size_t)count * sizeof *pcs);
        assert_int_equal(hf_pcset_size((hf_pcset)set), expected.count);
        assert_int_equal(hf_pcset_of(pcs, count), set);
    }
}

static void numbers_outside_the_octave_fold_into_it(void **state)
{
    (void)state;
    const int far[] = {-1, 12, 25, -24};
    assert_int_equal(hf_pcset_of(far, 4), 1u << 11 | 1u << 0 | 1u << 1);
    for (int n = -60; n <= 60; n++)
        assert_int_equal(hf_pc(n), ((n % 12) + 12) % 12);
}

/* derived: Tn adds n to each member, TnI subtracts each from n. */
static void transposing_and_inverting_move_each_member(void **state)
{
    (void)state;
    for (unsigned set = 0; set < HF_SETS; set++) {
        struct list list = list_of(set);
        for (int n = -12; n <= 24; n++) {
            unsigned moved = 0, turned = 0;
            for (int i = 0; i < list.count; i++) {
                moved |= 1u << (list.pc[i] + n + 12) % 12;
                turned |= 1u << (n - list.pc[i] + 24) % 12;
            }
            assert_int_equal(hf_pcset_transpose((hf_pcset)set, n), moved);
            assert_int_equal(hf_pcset_invert((hf_pcset)set, n), turned);
        }
    }
}

static void a_complement_has_what_the_set_lacks(void **state)
{
    (void)state;
    for (unsigned set = 0; set < HF_SETS; set++)
        for (int pc = 0; pc < 12; pc++)
            assert_int_equal(hf_pcset_has(hf_pcset_complement((hf_pcset)set), pc),
                             !hf_pcset_has((hf_pcset)set, pc));
}

static int compare_lists(const struct list *a, const struct list *b)
{
    for (int i = 0; i < a->count && i < b->count; i++)
        if (a->pc[i] != b->pc[i])
            return a->pc[i] < b->pc[i] ? -1 : 1;
    return (a->count > b->count) - (a->count < b->count);
}

static void sets_are_ordered_as_their_lists_in_a_dictionary(void **state)
{
    (void)state;
    for (unsigned a = 0; a < HF_SETS; a++) {
        struct list list_a = list_of(a);
        for (unsigned b = 0; b < HF_SETS; b += 1 + a % 3) {
            struct list list_b = list_of(b);
            if (hf_pcset_compare((hf_pcset)a, (hf_pcset)b) != compare_lists(&list_a, &list_b))
                fail_msg("%x against %x", a, b);
        }
    }
}

/* derived: every pair counted by its shorter distance. */
static void a_vector_counts_every_pair_once(void **state)
{
    (void)state;
    for (unsigned set = 0; set < HF_SETS; set++) {
        struct list list = list_of(set);
        int expected[6] = {0}, icv[6];
        for (int i = 0; i < list.count; i++)
            for (int j = i + 1; j < list.count; j++) {
                int up = list.pc[j] - list.pc[i];
                expected[(up < 6 ? up : 12 - up) - 1]++;
            }
        hf_pcset_icv((hf_pcset)set, icv);
        assert_memory_equal(icv, expected, sizeof icv);
    }
}

/* derived: the common-tone theorems. Under Tn a set keeps as many notes as it has intervals n (the
 * tritone twice); under TnI as many as there are ordered pairs whose sum is n. */
static void common_tones_follow_from_vector_and_sums(void **state)
{
    (void)state;
    for (unsigned set = 0; set < HF_SETS; set++) {
        struct list list = list_of(set);
        int icv[6];
        hf_pcset_icv((hf_pcset)set, icv);
        for (int n = 0; n < 12; n++) {
            int kept = hf_pcset_size((hf_pcset)set & hf_pcset_transpose((hf_pcset)set, n));
            int turned = hf_pcset_size((hf_pcset)set & hf_pcset_invert((hf_pcset)set, n)), sums = 0;
            for (int i = 0; i < list.count; i++)
                for (int j = 0; j < list.count; j++)
                    sums += (list.pc[i] + list.pc[j]) % 12 == n;
            int interval = n > 6 ? 12 - n : n;
            assert_int_equal(kept, interval == 0   ? list.count
                                   : interval == 6 ? 2 * icv[5]
                                                   : icv[interval - 1]);
            assert_int_equal(turned, sums);
        }
    }
}

static void maps_are_the_transpositions_that_give_the_other_set(void **state)
{
    (void)state;
    for (unsigned set = 0; set < HF_SETS; set++)
        for (int n = 0; n < 12; n++) {
            hf_pcset moved = hf_pcset_transpose((hf_pcset)set, n);
            hf_pcset turned = hf_pcset_invert((hf_pcset)set, n);
            assert_true(hf_pcset_has(hf_pcset_maps_tn((hf_pcset)set, moved), n));
            assert_true(hf_pcset_has(hf_pcset_maps_tni((hf_pcset)set, turned), n));
        }
    /* derived: by hand. {0,4,8} on itself: T0 T4 T8, and I about 0, 4 and 8. */
    assert_int_equal(hf_pcset_maps_tn(0x111, 0x111), 0x111);
    assert_int_equal(hf_pcset_maps_tni(0x111, 0x111), 0x111);
    assert_int_equal(hf_pcset_maps_tn(0x111, 0x043), 0);
}

/* The same rule said with lists: of all rotations the least span; of those the least distance from
 * the first to the last but one, and so on inwards; of equals the lowest first member. */
static void rotation(const struct list *list, int from, struct list *out)
{
    out->count = list->count;
    for (int i = 0; i < list->count; i++)
        out->pc[i] = list->pc[(from + i) % list->count];
}

static bool more_compact(const struct list *a, const struct list *b)
{
    for (int i = a->count - 1; i > 0; i--) {
        int reach_a = (a->pc[i] - a->pc[0] + 12) % 12, reach_b = (b->pc[i] - b->pc[0] + 12) % 12;
        if (reach_a != reach_b)
            return reach_a < reach_b;
    }
    return a->pc[0] < b->pc[0];
}

static void normal_order_is_the_compactest_rotation(void **state)
{
    (void)state;
    for (unsigned set = 1; set < HF_SETS; set++) {
        struct list list = list_of(set), best, tried;
        rotation(&list, 0, &best);
        for (int i = 1; i < list.count; i++) {
            rotation(&list, i, &tried);
            if (more_compact(&tried, &best))
                best = tried;
        }
        int pcs[HF_PCS];
        assert_int_equal(hf_pcset_normal((hf_pcset)set, pcs), list.count);
        assert_memory_equal(pcs, best.pc, (size_t)list.count * sizeof *pcs);
    }
    int none[HF_PCS];
    assert_int_equal(hf_pcset_normal(0, none), 0);
}

static void subsets_come_all_once_in_order(void **state)
{
    (void)state;
    static hf_pcset out[HF_SUBSETS_MOST];
    for (unsigned set = 0; set < HF_SETS; set++)
        for (int size = -1; size <= 13; size++) {
            int count = hf_pcset_subsets((hf_pcset)set, size, out), binomial = 1;
            int members = list_of(set).count;
            for (int k = 1; k <= size; k++)
                binomial = binomial * (members - size + k) / k;
            assert_int_equal(count, size < 0 || size > members ? 0 : binomial);
            for (int i = 0; i < count; i++) {
                assert_int_equal(out[i] & ~set, 0);
                assert_int_equal(hf_pcset_size(out[i]), size);
                assert_true(i == 0 || hf_pcset_compare(out[i - 1], out[i]) < 0);
            }
        }
}

static int apart(int a, int b)
{
    int up = (b - a + 12) % 12;
    return up < 6 ? up : 12 - up;
}

/* The least total of all pairings, by trying them all: best[used] is the least for the first notes
 * of `from` paired with the notes `used` of `to`. */
static int least_of_all_pairings(const struct list *from, const struct list *to)
{
    static int best[HF_SETS];
    unsigned all = (1u << from->count) - 1;
    best[0] = 0;
    for (unsigned used = 1; used <= all; used++) {
        int voice = list_of(used).count - 1;
        best[used] = 1000;
        for (int j = 0; j < to->count; j++) {
            if (!(used & (1u << j)))
                continue;
            int total = best[used & ~(1u << j)] + apart(from->pc[voice], to->pc[j]);
            if (total < best[used])
                best[used] = total;
        }
    }
    return best[all];
}

/* derived: trying every pairing. From one form of each class to every set of its size, which is all
 * there is, since moving or turning both sets together changes no distance. */
static void movement_is_the_least_of_all_pairings(void **state)
{
    (void)state;
    for (unsigned a = 0; a < HF_SETS; a++) {
        if (hf_pcset_prime((hf_pcset)a) != a)
            continue;
        struct list from = list_of(a);
        for (unsigned b = 0; b < HF_SETS; b++) {
            struct list to = list_of(b);
            int moves[HF_PCS] = {0}, total = 0;
            int got = hf_pcset_movement((hf_pcset)a, (hf_pcset)b, moves);
            if (to.count != from.count) {
                assert_int_equal(got, -1);
                continue;
            }
            unsigned reached = 0;
            for (int i = 0; i < from.count; i++) {
                assert_in_range(moves[i] + 5, 0, 11);
                total += abs(moves[i]);
                assert_true(moves[i] == 0 || !(b & 1u << from.pc[i]));
                reached |= 1u << (from.pc[i] + moves[i] + 12) % 12;
            }
            assert_int_equal(reached, b);
            assert_int_equal(total, got);
            assert_int_equal(got, least_of_all_pairings(&from, &to));
        }
    }
}

/* derived: {0,1} to {3,4}: 3 + 3 or 4 + 2; {0,6} to {3,9}: up or down by 3, the first found. */
static void of_equal_movements_the_evenest_is_taken(void **state)
{
    (void)state;
    int moves[HF_PCS];
    assert_int_equal(hf_pcset_movement(0x003, 0x018, moves), 6);
    assert_int_equal(moves[0], 3);
    assert_int_equal(moves[1], 3);
    assert_int_equal(hf_pcset_movement(0x041, 0x208, moves), 6);
    assert_int_equal(moves[0], 3);
    assert_int_equal(moves[1], 3);
    assert_int_equal(hf_pcset_movement(0, 0, NULL), 0);
}

static void a_set_is_written_in_one_word(void **state)
{
    (void)state;
    char text[HF_PCSET_TEXT];
    assert_string_equal(hf_pcset_format(0, text), "{}");
    assert_string_equal(hf_pcset_format(0x608, text), "39T");
    assert_string_equal(hf_pcset_format(HF_PCSET_ALL, text), "0123456789TE");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_set_and_its_list_say_the_same),
        cmocka_unit_test(numbers_outside_the_octave_fold_into_it),
        cmocka_unit_test(transposing_and_inverting_move_each_member),
        cmocka_unit_test(a_complement_has_what_the_set_lacks),
        cmocka_unit_test(sets_are_ordered_as_their_lists_in_a_dictionary),
        cmocka_unit_test(a_vector_counts_every_pair_once),
        cmocka_unit_test(common_tones_follow_from_vector_and_sums),
        cmocka_unit_test(maps_are_the_transpositions_that_give_the_other_set),
        cmocka_unit_test(normal_order_is_the_compactest_rotation),
        cmocka_unit_test(subsets_come_all_once_in_order),
        cmocka_unit_test(movement_is_the_least_of_all_pairings),
        cmocka_unit_test(of_equal_movements_the_evenest_is_taken),
        cmocka_unit_test(a_set_is_written_in_one_word),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
