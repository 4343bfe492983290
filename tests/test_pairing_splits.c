/* SPDX-License-Identifier: MIT */
/* In which ways a set splits into two classes whose union is certain. derived: by trying every part
 * of every set. */
#include "sets.h"

#include <holdfast/pairing.h>

static void six_z17_splits_in_two_certain_ways(void **state)
{
    (void)state;
    struct hf_split splits[HF_SPLITS_MOST];
    hf_pcset forms[HF_SETCLASS_FORMS];
    int count = hf_setclass_members(class(6, 17), forms);
    for (int i = 0; i < count; i++) {
        assert_int_equal(hf_pairing_splits(forms[i], splits), 2);
        assert_ptr_equal(hf_setclass_of(splits[0].held), class(3, 12));
        assert_ptr_equal(hf_setclass_of(splits[0].added), class(3, 5));
        assert_ptr_equal(hf_setclass_of(splits[1].held), class(4, 9));
        assert_ptr_equal(hf_setclass_of(splits[1].added), class(2, 4));
    }
    hf_pairing_splits(set_of("012478"), splits);
    assert_int_equal(splits[0].held, set_of("048"));
    assert_int_equal(splits[0].added, set_of("127"));
    assert_int_equal(splits[1].held, set_of("1278"));
    assert_int_equal(splits[1].added, set_of("04"));
}

static void no_six_notes_hold_a_triad_and_an_016_in_two_ways(void **state)
{
    (void)state;
    for (unsigned set = 0; set < HF_SETS; set++) {
        int ways = 0;
        for (int n = 0; n < 4; n++) {
            hf_pcset triad = hf_pcset_transpose(0x111, n);
            ways += hf_pcset_size((hf_pcset)set) == 6 && (set & triad) == triad &&
                    hf_setclass_of((hf_pcset)(set & ~(unsigned)triad)) == class(3, 5);
        }
        assert_int_equal(ways, hf_setclass_of((hf_pcset)set) == class(6, 17));
    }
}

/* All splits of all sets, against hf_pairing_of for the classes of the halves. */
static void splits_are_all_the_certain_partitions_in_order(void **state)
{
    (void)state;
    static bool certain[HF_SETCLASSES][HF_SETCLASSES];
    static struct hf_split splits[HF_SPLITS_MOST];
    for (int a = 0; a < HF_SETCLASSES; a++)
        for (int b = 0; b < HF_SETCLASSES; b++) {
            struct hf_pairing pairing;
            hf_pairing_of(hf_setclass_at(a), hf_setclass_at(b), &pairing);
            certain[a][b] = pairing.results == 1;
        }
    for (unsigned set = 0; set < HF_SETS; set++) {
        int count = hf_pairing_splits((hf_pcset)set, splits), expected = 0;
        for (unsigned part = 1; part < set; part++)
            if ((part & set) == part)
                expected += certain[hf_setclass_of((hf_pcset)part)->index]
                                   [hf_setclass_of((hf_pcset)(set & ~part))->index];
        assert_int_equal(2 * count, expected);
        for (int i = 0; i < count; i++) {
            const struct hf_setclass *held = hf_setclass_of(splits[i].held);
            const struct hf_setclass *added = hf_setclass_of(splits[i].added);
            assert_int_equal(splits[i].held ^ splits[i].added, set);
            assert_true(certain[held->index][added->index]);
            assert_true(hf_pairing_holds(held, added));
            bool follows = i && !(hf_setclass_of(splits[i - 1].held) == class(3, 12) &&
                                  hf_setclass_of(splits[i - 1].added) == class(3, 5));
            if (!follows || held == class(3, 12))
                continue;
            int smaller = hf_pcset_size(splits[i - 1].held) - hf_pcset_size(splits[i].held);
            assert_true(smaller < 0 ||
                        (smaller == 0 && hf_pcset_compare(splits[i - 1].held, splits[i].held) < 0));
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(six_z17_splits_in_two_certain_ways),
        cmocka_unit_test(no_six_notes_hold_a_triad_and_an_016_in_two_ways),
        cmocka_unit_test(splits_are_all_the_certain_partitions_in_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
