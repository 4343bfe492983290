/* SPDX-License-Identifier: MIT */
/* The facts of the six completions and of the pairings, each found again by trying every case.
 * Where no other source stands, an expected value is derived by a count that is written beside it.
 */
#include "sets.h"

#include <stdio.h>

#include <holdfast/pairing.h>

#define COUNT(rows) (sizeof(rows) / sizeof *(rows))

static int completions_of(hf_pcset held, struct hf_completion out[HF_COMPLETIONS_MOST])
{
    return hf_pairing_complete(held, class(3, 5), out);
}

/* derived: those of C E G# by hand, moved by n for the other triads. */
static void an_augmented_triad_has_six_completions(void **state)
{
    (void)state;
    const char *expected[] = {"127", "167", "239", "39T", "56E", "5TE"};
    for (int n = 0; n < 4; n++) {
        struct hf_completion found[HF_COMPLETIONS_MOST];
        hf_pcset held = hf_pcset_transpose(0x111, n);
        assert_int_equal(completions_of(held, found), 6);
        for (int i = 0; i < 6; i++) {
            bool met = false;
            for (int j = 0; j < 6; j++)
                met = met || found[j].pcs == hf_pcset_transpose(set_of(expected[i]), n);
            assert_true(met);
            assert_int_equal(found[i].id, i + 1);
            assert_true(i == 0 || hf_pcset_compare(found[i - 1].pcs, found[i].pcs) < 0);
            assert_ptr_equal(found[i].result, class(6, 17));
            assert_int_equal(found[i].united, held | found[i].pcs);
        }
    }
}

/* derived: from the names of the intervals in {1,2,7}: D-G a fourth, C#-D a semitone, C#-G a
 * tritone; and so on. Kinds: T4 of {1,2,7} is {5,6,11}, T8 {3,9,10}. */
static void each_completion_has_its_parts_kind_and_position(void **state)
{
    (void)state;
    const struct {
        const char *pcs, *perfect, *semitone, *tritone;
        int kind, position;
    } rows[] = {
        {"127", "27", "12", "17", 1, 1}, {"167", "16", "67", "17", 2, 1},
        {"239", "29", "23", "39", 2, 3}, {"39T", "3T", "9T", "39", 1, 3},
        {"56E", "6E", "56", "5E", 1, 2}, {"5TE", "5T", "TE", "5E", 2, 2},
    };
    struct hf_completion found[HF_COMPLETIONS_MOST];
    assert_int_equal(completions_of(0x111, found), 6);
    for (size_t i = 0; i < COUNT(rows); i++) {
        assert_int_equal(found[i].pcs, set_of(rows[i].pcs));
        assert_int_equal(found[i].perfect, set_of(rows[i].perfect));
        assert_int_equal(found[i].semitone, set_of(rows[i].semitone));
        assert_int_equal(found[i].tritone, set_of(rows[i].tritone));
        assert_int_equal(found[i].kind, rows[i].kind);
        assert_int_equal(found[i].position, rows[i].position);
    }
}

static void the_24_unions_are_the_24_forms_of_6_z17(void **state)
{
    (void)state;
    hf_pcset forms[HF_SETCLASS_FORMS];
    int met[HF_SETS] = {0};
    assert_int_equal(hf_setclass_members(class(6, 17), forms), 24);
    for (int n = 0; n < 4; n++) {
        struct hf_completion found[HF_COMPLETIONS_MOST];
        int count = completions_of(hf_pcset_transpose(0x111, n), found);
        for (int i = 0; i < count; i++)
            met[found[i].united]++;
    }
    for (int i = 0; i < 24; i++)
        assert_int_equal(met[forms[i]], 1);
}

static void each_016_is_completed_by_exactly_one_triad(void **state)
{
    (void)state;
    for (unsigned set = 0; set < HF_SETS; set++) {
        hf_pcset triad = hf_pairing_triad_for((hf_pcset)set);
        int fitting = 0;
        if (hf_setclass_of((hf_pcset)set) != class(3, 5)) {
            assert_int_equal(triad, 0);
            continue;
        }
        for (int n = 0; n < 4; n++)
            fitting += !(hf_pcset_transpose(0x111, n) & set);
        assert_int_equal(fitting, 1);
        assert_int_equal(triad & set, 0);
        assert_ptr_equal(hf_setclass_of(triad), class(3, 12));
    }
}

static void the_six_form_the_ring_of_smallest_movement(void **state)
{
    (void)state;
    const char *around[] = {"127", "167", "56E", "5TE", "39T", "239"};
    for (int n = 0; n < 4; n++) {
        struct hf_completion found[HF_COMPLETIONS_MOST];
        int ring[HF_COMPLETIONS_MOST], movement[HF_COMPLETIONS_MOST][HF_COMPLETIONS_MOST];
        int count = completions_of(hf_pcset_transpose(0x111, n), found);
        assert_int_equal(hf_pairing_ring(found, count, ring), 6);
        hf_pairing_movement(found, count, movement);
        assert_int_equal(ring[0], 1);
        for (int i = 0; i < 6; i++) {
            const int steps[] = {0, 4, 6, 8, 6, 4}; /* apart by so many places of the ring */
            const int shares_after_two[] = {3, 1, 0, 0, 0, 2};
            const int shares_after_one[] = {3, 2, 0, 0, 0, 1};
            const struct hf_completion *here = &found[ring[i] - 1];
            if (n == 0)
                assert_int_equal(here->pcs, set_of(around[i]));
            for (int k = 0; k < 6; k++) {
                const struct hf_completion *there = &found[ring[(i + k) % 6] - 1];
                int shared = hf_pcset_size(here->pcs & there->pcs);
                assert_int_equal(movement[ring[i] - 1][ring[(i + k) % 6] - 1], steps[k]);
                assert_int_equal(shared, i % 2 == 0 ? shares_after_one[k] : shares_after_two[k]);
                assert_int_equal(here->kind == there->kind, k % 2 == 0);
            }
        }
    }
}

/* The matrix that the contract prints for C E G#. */
static void the_movement_of_c_e_g_sharp_is_the_contracts(void **state)
{
    (void)state;
    const int expected[6][6] = {{0, 4, 4, 6, 6, 8}, {4, 0, 6, 8, 4, 6}, {4, 6, 0, 4, 8, 6},
                                {6, 8, 4, 0, 6, 4}, {6, 4, 8, 6, 0, 4}, {8, 6, 6, 4, 4, 0}};
    struct hf_completion found[HF_COMPLETIONS_MOST];
    int movement[HF_COMPLETIONS_MOST][HF_COMPLETIONS_MOST], ring[HF_COMPLETIONS_MOST];
    int count = completions_of(0x111, found);
    hf_pairing_movement(found, count, movement);
    for (int i = 0; i < 6; i++)
        assert_memory_equal(movement[i], expected[i], sizeof expected[i]);
    const int around[] = {1, 2, 5, 6, 4, 3};
    assert_int_equal(hf_pairing_ring(found, count, ring), 6);
    assert_memory_equal(ring, around, sizeof around);
}

/* derived: counted over the twelve fourths and the six tritones. */
static void a_perfect_interval_is_a_complete_cue_and_a_tritone_half_of_one(void **state)
{
    (void)state;
    for (int n = 0; n < 4; n++) {
        struct hf_completion found[HF_COMPLETIONS_MOST];
        hf_pcset held = hf_pcset_transpose(0x111, n);
        int count = completions_of(held, found), free_fourths = 0, free_tritones = 0;
        for (int pc = 0; pc < 12; pc++) {
            hf_pcset fourth = hf_pcset_transpose(set_of("05"), pc);
            hf_pcset tritone = hf_pcset_transpose(set_of("06"), pc);
            int by_fourth = 0, by_tritone = 0;
            for (int i = 0; i < count; i++) {
                by_fourth += found[i].perfect == fourth;
                by_tritone += found[i].tritone == tritone;
            }
            free_fourths += !(fourth & held);
            free_tritones += pc < 6 && !(tritone & held);
            assert_int_equal(by_fourth, fourth & held ? 0 : 1);
            assert_int_equal(by_tritone, tritone & held ? 0 : 2);
        }
        assert_int_equal(free_fourths, 6);
        assert_int_equal(free_tritones, 3);
    }
}

/* A semitone outside either end of a fourth (seen as a fifth: inside): one is held, one completes.
 */
static void beside_a_free_fourth_one_note_is_held_and_the_other_completes(void **state)
{
    (void)state;
    for (int pc = 0; pc < 12; pc++) {
        hf_pcset fourth = hf_pcset_transpose(set_of("05"), pc);
        if (fourth & 0x111)
            continue;
        hf_pcset below = (hf_pcset)(1u << hf_pc(pc - 1)), above = (hf_pcset)(1u << hf_pc(pc + 6));
        assert_int_equal(!(below & 0x111) + !(above & 0x111), 1);
        assert_ptr_equal(hf_setclass_of(fourth | below), class(3, 5));
        assert_ptr_equal(hf_setclass_of(fourth | above), class(3, 5));
    }
}

/* derived: the nine distances between triad and completion, counted. */
static void all_completions_lie_alike_against_the_triad(void **state)
{
    (void)state;
    const int expected[7] = {0, 2, 2, 2, 0, 2, 1}; /* ic 1 1 2 2 3 3 5 5 6 */
    struct hf_completion found[HF_COMPLETIONS_MOST];
    int count = completions_of(0x111, found);
    for (int c = 0; c < count; c++) {
        int met[7] = {0};
        for (int held = 0; held < 12; held += 4)
            for (int pc = 0; pc < 12; pc++)
                if (hf_pcset_has(found[c].pcs, pc)) {
                    int up = hf_pc(pc - held);
                    met[up < 6 ? up : 12 - up]++;
                }
        assert_memory_equal(met, expected, sizeof expected);
    }
}

/* derived: each added note moved by a semitone onto no held one: beside other completions one 015
 * (union 6-22) and one 026 (union 6-Z19). */
static void a_semitone_aside_lie_one_015_and_one_026(void **state)
{
    (void)state;
    struct hf_completion found[HF_COMPLETIONS_MOST];
    int count = completions_of(0x111, found);
    for (int c = 0; c < count; c++) {
        int as_015 = 0, as_026 = 0;
        for (int pc = 0; pc < 12; pc++)
            for (int by = -1; by <= 1; by += 2) {
                hf_pcset aside = (hf_pcset)(1u << hf_pc(pc + by));
                if (!hf_pcset_has(found[c].pcs, pc) || (aside & (0x111 | found[c].pcs)))
                    continue;
                hf_pcset moved = (hf_pcset)((found[c].pcs & ~(1u << pc)) | aside);
                const struct hf_setclass *of = hf_setclass_of(moved);
                const struct hf_setclass *with = hf_setclass_of(moved | 0x111);
                as_015 += of == class(3, 4) && with == class(6, 22);
                as_026 += of == class(3, 8) && with == class(6, 19);
                assert_true(of == class(3, 4) || of == class(3, 8) || of == class(3, 5));
            }
        assert_int_equal(as_015, 1);
        assert_int_equal(as_026, 1);
    }
}

static void one_note_of_a_completion_gives_4_19_or_4_24(void **state)
{
    (void)state;
    int as_19 = 0, as_24 = 0;
    for (int pc = 0; pc < 12; pc++) {
        if (hf_pcset_has(0x111, pc))
            continue;
        const struct hf_setclass *with = hf_setclass_of((hf_pcset)(0x111 | 1u << pc));
        as_19 += with == class(4, 19);
        as_24 += with == class(4, 24);
    }
    assert_int_equal(as_19, 6);
    assert_int_equal(as_24, 3);
}

/* Every pair of non-empty classes whose disjoint union is certain and, with results != NULL, the
 * given class. Counts each unordered pair once. */
static int certain_pairs(const struct hf_setclass *result, struct hf_pairing *out, int most)
{
    int count = 0;
    for (int a = 1; a < HF_SETCLASSES; a++)
        for (int b = a; b < HF_SETCLASSES; b++) {
            const struct hf_setclass *x = hf_setclass_at(a), *y = hf_setclass_at(b);
            bool x_holds = hf_pairing_holds(x, y);
            struct hf_pairing pairing;
            hf_pairing_of(x_holds ? x : y, x_holds ? y : x, &pairing);
            if (pairing.results != 1 || (result && pairing.result[0] != result))
                continue;
            if (count < most)
                out[count] = pairing;
            count++;
        }
    return count;
}

/* published: the complement union property, Morris, Journal of Music Theory 34/2 (1990) [memory]
 * for the idea; derived: the numbers, by trying all pairs. */
static void two_pairings_always_give_6_z17(void **state)
{
    (void)state;
    struct hf_pairing found[4];
    assert_int_equal(certain_pairs(class(6, 17), found, 4), 2);
    bool triad_first = found[0].held == class(3, 12);
    const struct hf_pairing *triad = &found[!triad_first], *other = &found[triad_first];
    assert_ptr_equal(triad->held, class(3, 12));
    assert_ptr_equal(triad->added, class(3, 5));
    assert_int_equal(triad->completions, 6);
    assert_int_equal(triad->example, set_of("127"));
    assert_ptr_equal(other->held, class(4, 9));
    assert_ptr_equal(other->added, class(2, 4));
}

static void there_are_2914_certain_pairings(void **state)
{
    (void)state;
    assert_int_equal(certain_pairs(NULL, NULL, 0), 2914);
}

static void seven_trichords_are_certain_with_the_triad(void **state)
{
    (void)state;
    const int expected[] = {1, 2, 5, 6, 7, 9, 10}; /* 012 013 016 024 025 027 036 */
    int found = 0;
    for (int number = 1; number <= 12; number++) {
        struct hf_pairing pairing;
        hf_pairing_of(class(3, 12), class(3, number), &pairing);
        if (pairing.results == 1)
            assert_int_equal(number, expected[found++]);
    }
    assert_int_equal(found, COUNT(expected));
}

/* derived: of all pairs of dyads, only ic 3 with ic 6 gives 4-Z15 and 4-Z29 and nothing else. */
static void only_ic_3_with_ic_6_always_gives_an_all_interval_tetrachord(void **state)
{
    (void)state;
    for (int a = 1; a <= 6; a++)
        for (int b = a; b <= 6; b++) {
            struct hf_pairing pairing;
            bool all = true;
            hf_pairing_of(class(2, a), class(2, b), &pairing);
            for (int i = 0; i < pairing.results; i++)
                all =
                    all && (pairing.result[i] == class(4, 15) || pairing.result[i] == class(4, 29));
            assert_int_equal(all && pairing.results > 0, a == 3 && b == 6);
            if (a == 3 && b == 6)
                assert_int_equal(pairing.results, 2);
        }
}

/* Held and added exchanged, the classes of the unions are the same, and so is what each says of its
 * own completions: forms x completions counts the disjoint pairs both ways. */
static void a_pairing_is_the_same_from_both_sides(void **state)
{
    (void)state;
    for (int a = 0; a < HF_SETCLASSES; a++)
        for (int b = a; b < HF_SETCLASSES; b += 1 + a % 5) {
            struct hf_pairing there, back;
            hf_pairing_of(hf_setclass_at(a), hf_setclass_at(b), &there);
            hf_pairing_of(hf_setclass_at(b), hf_setclass_at(a), &back);
            assert_int_equal(there.results, back.results);
            assert_memory_equal(there.result, back.result,
                                (size_t)there.results * sizeof *there.result);
            assert_int_equal(there.completions * there.held->forms,
                             back.completions * back.held->forms);
            assert_int_equal(hf_pairing_holds(there.held, there.added) &&
                                 hf_pairing_holds(there.added, there.held),
                             a == b);
        }
}

/* derived: 3-12 has 4 forms; 4-9 and 2-6 have 6 each; 3-4 and 3-5 have 24 each. */
static void held_is_the_more_symmetric_then_the_larger_then_the_lower(void **state)
{
    (void)state;
    assert_true(hf_pairing_holds(class(3, 12), class(4, 9)));
    assert_false(hf_pairing_holds(class(4, 9), class(3, 12)));
    assert_true(hf_pairing_holds(class(4, 9), class(2, 6)));
    assert_false(hf_pairing_holds(class(2, 6), class(4, 9)));
    assert_true(hf_pairing_holds(class(3, 4), class(3, 5)));
    assert_false(hf_pairing_holds(class(3, 5), class(3, 4)));
}

/* The completions of one result, counted anew, are what filtering by hand leaves. */
static void keeping_one_result_counts_anew(void **state)
{
    (void)state;
    int several = 0;
    for (int h = 1; h < HF_SETCLASSES; h += 2)
        for (int c = 1; c < 60; c++) {
            struct hf_completion all[HF_COMPLETIONS_MOST], kept[HF_COMPLETIONS_MOST];
            int count = hf_pairing_complete(hf_setclass_at(h)->prime, hf_setclass_at(c), all);
            if (!count)
                continue;
            const struct hf_setclass *result = all[count - 1].result;
            memcpy(kept, all, sizeof kept);
            int left = hf_pairing_keep(kept, count, result), met = 0, kinds = 0;
            for (int i = 0; i < count; i++) {
                if (all[i].result != result)
                    continue;
                assert_int_equal(kept[met].id, met + 1);
                assert_int_equal(kept[met].pcs, all[i].pcs);
                assert_int_equal(kept[met].position, all[i].position);
                if (kept[met].position == 1)
                    assert_int_equal(kept[met].kind, ++kinds);
                met++;
            }
            assert_int_equal(left, met);
            several += left < count;
        }
    assert_true(several > 100);
}

static void classes_that_never_avoid_each_other_are_no_pairing(void **state)
{
    (void)state;
    struct hf_pairing pairing;
    struct hf_completion found[HF_COMPLETIONS_MOST];
    struct hf_diag diag = {0};
    hf_pairing_of(class(3, 12), class(4, 28),
                  &pairing); /* a diminished seventh meets every triad */
    assert_int_equal(pairing.results, 0);
    assert_int_equal(pairing.completions, 0);
    assert_int_equal(hf_pairing_complete(0x111, class(4, 28), found), 0);
    assert_int_equal(hf_pairing_explain(0x111, class(4, 28), &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.message, "4-28 (0369) is free of the held notes (048)"));
    assert_non_null(strstr(diag.advice, "4-24"));
    assert_int_equal(hf_pairing_explain(0x111, class(10, 1), &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.advice, "at most 9"));
    assert_int_equal(hf_pairing_explain(0x111, class(3, 5), &diag), HF_OK);
}

/* Kinds and positions for every held set and class of up to four notes, after their definition. */
static void kinds_are_the_families_under_what_keeps_the_held_set(void **state)
{
    (void)state;
    for (unsigned held = 0; held < HF_SETS; held += 3)
        for (int c = 0; c < 50; c++) {
            struct hf_completion found[HF_COMPLETIONS_MOST];
            int count = hf_pairing_complete((hf_pcset)held, hf_setclass_at(c), found), kinds = 0;
            for (int i = 0; i < count; i++) {
                int first = 0, place = 1;
                while (found[first].kind != found[i].kind)
                    first++;
                if (first == i) {
                    assert_int_equal(found[i].kind, ++kinds);
                    assert_int_equal(found[i].position, 1);
                    continue;
                }
                /* met in the order of the transpositions that keep the held set */
                for (int n = 1; n < 12; n++) {
                    hf_pcset form = hf_pcset_transpose(found[first].pcs, n);
                    if (hf_pcset_transpose((hf_pcset)held, n) != held || form == found[first].pcs)
                        continue;
                    place++;
                    if (form == found[i].pcs)
                        break;
                }
                assert_int_equal(found[i].position, place);
            }
        }
}

/* derived: from the definition, for completions in any number. */
static void a_ring_steps_to_the_nearest_and_visits_all(void **state)
{
    (void)state;
    int rings = 0;
    for (int h = 0; h < HF_SETCLASSES; h++)
        for (int c = 0; c < HF_SETCLASSES; c++) {
            struct hf_completion found[HF_COMPLETIONS_MOST];
            int ring[HF_COMPLETIONS_MOST], met[HF_COMPLETIONS_MOST + 1] = {0}, least = 1000;
            int movement[HF_COMPLETIONS_MOST][HF_COMPLETIONS_MOST];
            int count = hf_pairing_complete(hf_setclass_at(h)->prime, hf_setclass_at(c), found);
            int length = hf_pairing_ring(found, count, ring);
            if (!length)
                continue;
            rings++;
            assert_int_equal(length, count);
            hf_pairing_movement(found, count, movement);
            for (int i = 0; i < count; i++)
                for (int j = 0; j < i; j++)
                    least = movement[i][j] < least ? movement[i][j] : least;
            for (int i = 0; i < length; i++) {
                met[ring[i]]++;
                assert_int_equal(movement[ring[i] - 1][ring[(i + 1) % length] - 1], least);
            }
            for (int id = 1; id <= count; id++)
                assert_int_equal(met[id], 1);
        }
    assert_true(rings > 1);
    int none[HF_COMPLETIONS_MOST];
    struct hf_completion few[HF_COMPLETIONS_MOST];
    assert_int_equal(hf_pairing_ring(few, 0, none), 0);
    assert_int_equal(hf_pairing_ring(few, 2, none), 0);
}

/* A grip of triad and completion moved by four frets keeps the triad and gives the next completion
 * of its kind. Strings E2 A2 D3 G3 B3 E4. */
static void two_grips_give_all_six(void **state)
{
    (void)state;
    const int open[] = {40, 45, 50, 55, 59, 64};
    const struct {
        int fret[6];
        const char *added;
    } grips[] = {
        {{2, 2, 2, 1, 1, 1}, "56E"}, {{6, 6, 6, 5, 5, 5}, "39T"}, {{10, 10, 10, 9, 9, 9}, "127"},
        {{4, 4, 4, 5, 5, 3}, "167"}, {{8, 8, 8, 9, 9, 7}, "5TE"}, {{12, 12, 12, 13, 13, 11}, "239"},
    };
    for (size_t i = 0; i < COUNT(grips); i++) {
        int midi[6];
        for (int s = 0; s < 6; s++)
            midi[s] = open[s] + grips[i].fret[s];
        assert_int_equal(hf_pcset_of(midi, 6), 0x111 | set_of(grips[i].added));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_augmented_triad_has_six_completions),
        cmocka_unit_test(each_completion_has_its_parts_kind_and_position),
        cmocka_unit_test(the_24_unions_are_the_24_forms_of_6_z17),
        cmocka_unit_test(each_016_is_completed_by_exactly_one_triad),
        cmocka_unit_test(the_six_form_the_ring_of_smallest_movement),
        cmocka_unit_test(the_movement_of_c_e_g_sharp_is_the_contracts),
        cmocka_unit_test(a_perfect_interval_is_a_complete_cue_and_a_tritone_half_of_one),
        cmocka_unit_test(beside_a_free_fourth_one_note_is_held_and_the_other_completes),
        cmocka_unit_test(all_completions_lie_alike_against_the_triad),
        cmocka_unit_test(a_semitone_aside_lie_one_015_and_one_026),
        cmocka_unit_test(one_note_of_a_completion_gives_4_19_or_4_24),
        cmocka_unit_test(two_pairings_always_give_6_z17),
        cmocka_unit_test(there_are_2914_certain_pairings),
        cmocka_unit_test(seven_trichords_are_certain_with_the_triad),
        cmocka_unit_test(only_ic_3_with_ic_6_always_gives_an_all_interval_tetrachord),
        cmocka_unit_test(a_pairing_is_the_same_from_both_sides),
        cmocka_unit_test(held_is_the_more_symmetric_then_the_larger_then_the_lower),
        cmocka_unit_test(keeping_one_result_counts_anew),
        cmocka_unit_test(classes_that_never_avoid_each_other_are_no_pairing),
        cmocka_unit_test(kinds_are_the_families_under_what_keeps_the_held_set),
        cmocka_unit_test(a_ring_steps_to_the_nearest_and_visits_all),
        cmocka_unit_test(two_grips_give_all_six),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
