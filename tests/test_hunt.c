/* SPDX-License-Identifier: MIT */
/*
 * What notes are in hunt, and what hints give away, over every triad, every three notes and every
 * state of what was found. An outside fact decides which notes are a completion: an augmented triad
 * and three notes that avoid it are an all-trichord hexachord, the one with the interval-class
 * vector 322332, exactly where the three are an 016 (published: Forte's table; Rahn, Basic Atonal
 * Theory).
 */
#include "check.h"

#include <string.h>

#include <holdfast/hunt.h>

static const char *const triads[] = {"0 4 8", "1 5 9", "2 6 10", "3 7 11"};

static struct hf_request request;

static struct hf_hunt hunt_of(const char *held, const char *added, const char *seed)
{
    struct hf_hunt hunt;
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "hunt", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_HELD, held, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_ADDED, added, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_SEED, seed, NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    hf_hunt_init(&hunt, &request);
    return hunt;
}

static bool is_all_trichord(hf_pcset set)
{
    static const int vector[6] = {3, 2, 2, 3, 3, 2};
    int icv[6];
    hf_pcset_icv(set, icv);
    return hf_pcset_size(set) == 6 && memcmp(icv, vector, sizeof icv) == 0;
}

static void answer(struct hf_hunt *hunt, hf_pcset pcs)
{
    struct hf_verdict verdict = hf_hunt_judge(hunt, pcs);
    struct hf_record record = hf_hunt_answer(&verdict, 0);
    hf_hunt_apply(hunt, &record);
}

static void all_three_notes_are_judged_over_every_triad(void **state)
{
    (void)state;
    hf_pcset sets[HF_SUBSETS_MOST];
    int count = hf_pcset_subsets(0xfff, 3, sets);
    assert_int_equal(count, 220); /* derived: 12 over 3 */
    for (int triad = 0; triad < 4; triad++) {
        struct hf_hunt hunt = hunt_of(triads[triad], "016", "1");
        int shares = 0, found = 0, other = 0;
        for (int i = 0; i < count; i++) {
            struct hf_verdict verdict = hf_hunt_judge(&hunt, sets[i]);
            hf_pcset shared = sets[i] & hunt.held;
            if (verdict.finding == HF_FOUND_SHARES) {
                assert_true(shared && verdict.shared == shared);
                shares++;
            } else if (verdict.finding == HF_FOUND) {
                assert_true(!shared && is_all_trichord(sets[i] | hunt.held));
                assert_int_equal(verdict.nth, 1);
                found++;
            } else {
                assert_int_equal(verdict.finding, HF_FOUND_OTHER);
                assert_true(!shared && !is_all_trichord(sets[i] | hunt.held));
                assert_ptr_equal(verdict.set, hf_setclass_of(sets[i]));
                assert_string_not_equal(verdict.set->name, "3-5");
                other++;
            }
        }
        assert_int_equal(shares, 136); /* derived: 220 less 9 over 3 */
        assert_int_equal(found, 6);    /* published: six 016s for each triad */
        assert_int_equal(other, 78);
    }
}

/* Any class may be added: what is found is what avoids the held notes and is of the class. */
static void any_added_class_is_judged_alike(void **state)
{
    (void)state;
    hf_pcset sets[HF_SUBSETS_MOST];
    int count = hf_pcset_subsets(0xfff, 3, sets);
    static const char *const classes[] = {"012", "013", "014", "015", "016", "024",
                                          "025", "026", "027", "036", "037", "048"};
    static const char *const helds[] = {"0", "0 1", "0 1 6", "0 4 8", "0 2 4 7"};
    for (size_t c = 0; c < 12; c++)
        for (size_t held = 0; held < 5; held++) {
            struct hf_hunt hunt = hunt_of(helds[held], classes[c], "1");
            int found = 0;
            for (int i = 0; i < count; i++) {
                bool fits = !(sets[i] & hunt.held) &&
                            strcmp(hf_setclass_of(sets[i])->name, hunt.added->name) == 0;
                struct hf_verdict verdict = hf_hunt_judge(&hunt, sets[i]);
                assert_int_equal(verdict.finding == HF_FOUND, fits);
                found += fits;
            }
            assert_int_equal(found, hunt.count);
        }
}

static void what_was_found_is_told_by_its_number(void **state)
{
    (void)state;
    struct hf_hunt hunt = hunt_of("0 4 8", "016", "1");
    answer(&hunt, 1 << 5 | 1 << 6 | 1 << 11);
    answer(&hunt, 1 << 1 | 1 << 2 | 1 << 7);
    answer(&hunt, 1 << 5 | 1 << 6 | 1 << 11); /* again changes nothing */
    assert_int_equal(hunt.found_count, 2);
    struct hf_verdict verdict = hf_hunt_judge(&hunt, 1 << 1 | 1 << 2 | 1 << 7);
    assert_int_equal(verdict.finding, HF_FOUND_AGAIN);
    assert_int_equal(verdict.nth, 2);
    verdict = hf_hunt_judge(&hunt, 1 << 2 | 1 << 3 | 1 << 9);
    assert_int_equal(verdict.finding, HF_FOUND);
    assert_int_equal(verdict.nth, 3);
    assert_false(hf_hunt_done(&hunt));
    for (int i = 0; i < hunt.count; i++)
        answer(&hunt, hunt.completions[i].pcs);
    assert_true(hf_hunt_done(&hunt));
    assert_int_equal(hf_hunt_steps(&hunt), 0);
}

/* One more step; returns what it says. */
static struct hf_hint step(struct hf_hunt *hunt)
{
    struct hf_hint hint;
    struct hf_record record = {.type = HF_RECORD_HINT, .hints = hunt->step + 1};
    hf_hunt_apply(hunt, &record);
    assert_true(hf_hunt_hint(hunt, &hint));
    return hint;
}

static int missing_of(const struct hf_hunt *hunt, const struct hf_hint *hint, bool whole)
{
    int fits = 0;
    for (int i = 0; i < hunt->count; i++) {
        hf_pcset pcs = hunt->completions[i].pcs;
        bool inside = (hint->notes & pcs) == hint->notes && (!whole || hint->notes == pcs);
        fits += inside && !(hunt->found >> i & 1);
    }
    return fits;
}

/* The interval lies where the hint says: both notes strictly between the two held neighbours. */
static bool lies_between(const struct hf_hunt *hunt, const struct hf_hint *hint)
{
    hf_pcset pcs = hunt->completions[hunt->target].pcs;
    for (int low = 0; low < HF_PCS; low++) {
        int from = hf_pc(low - hint->low), to = from + hint->interval;
        int room = hf_pc(hint->high - hint->low) ? hf_pc(hint->high - hint->low) : HF_PCS;
        if (hf_pcset_has(pcs, low) && hf_pcset_has(pcs, hf_pc(low + hint->interval)) && from > 0 &&
            to < room)
            return true;
    }
    return false;
}

/* Every triad, every state of what was found, every seed that matters: each hint is true, and none
 * but the last is a whole completion. */
static void hints_are_true_and_only_the_last_tells_the_whole(void **state)
{
    (void)state;
    static const char *const seeds[] = {"0", "1", "2", "3", "4", "5"};
    for (int triad = 0; triad < 4; triad++)
        for (unsigned found = 0; found < 63; found++)
            for (int seed = 0; seed < 6; seed++) {
                struct hf_hunt hunt = hunt_of(triads[triad], "016", seeds[seed]);
                for (int i = 0; i < 6; i++)
                    if (found >> i & 1)
                        answer(&hunt, hunt.completions[i].pcs);
                struct hf_hint hint = step(&hunt);
                assert_int_equal(hint.kind, HF_HINT_FORMS);
                assert_int_equal(hint.forms, 2); /* published: two kinds of 016 */
                assert_int_equal(hint.form_left[0] + hint.form_left[1], 6 - hunt.found_count);
                hint = step(&hunt);
                assert_int_equal(hint.kind, HF_HINT_BETWEEN);
                assert_int_equal(hint.interval, 1); /* derived: an 016 has one semitone */
                assert_true(lies_between(&hunt, &hint));
                hf_pcset target = hunt.completions[hunt.target].pcs;
                for (int notes = 1; notes <= 2; notes++) {
                    hint = step(&hunt);
                    assert_int_equal(hint.kind, HF_HINT_NOTE);
                    assert_int_equal(hf_pcset_size(hint.notes), notes);
                    assert_true(missing_of(&hunt, &hint, false) > 0);
                    /* first the one that is not of the semitone spoken of before */
                    if (notes == 1)
                        assert_true(hint.notes ==
                                    (target & ~hunt.completions[hunt.target].semitone));
                }
                hint = step(&hunt);
                assert_int_equal(hint.kind, HF_HINT_WHOLE);
                assert_int_equal(missing_of(&hunt, &hint, true), 1);
                assert_int_equal(hunt.step, hf_hunt_steps(&hunt));
                hf_pcset whole = hint.notes;
                struct hf_record more = {.type = HF_RECORD_HINT, .hints = hunt.step + 1};
                hf_hunt_apply(&hunt, &more); /* there is none: it stays */
                assert_true(hf_hunt_hint(&hunt, &hint));
                assert_int_equal(hint.notes, whole);
                assert_int_equal(hf_hunt_judge(&hunt, whole).hints, 5);
            }
}

/* Pairings of other sizes: as many steps as are promised, the last one whole, none before it. */
static void hints_fit_other_pairings_too(void **state)
{
    (void)state;
    static const char *const rows[][2] = {{"0", "1-1"},     {"0", "016"},       {"0 6", "2-1"},
                                          {"0 1", "0146"},  {"0 4 8", "1-1"},   {"0 4", "0257"},
                                          {"0 1 6", "048"}, {"0 3 6 9", "0167"}};
    for (size_t row = 0; row < sizeof rows / sizeof rows[0]; row++) {
        struct hf_hunt hunt = hunt_of(rows[row][0], rows[row][1], "3");
        assert_true(hunt.count > 0);
        int steps = hf_hunt_steps(&hunt);
        for (int i = 1; i <= steps; i++) {
            struct hf_hint hint = step(&hunt);
            assert_int_equal(hint.kind == HF_HINT_WHOLE, i == steps);
            if (hint.kind == HF_HINT_BETWEEN)
                assert_true(lies_between(&hunt, &hint));
            if (hint.notes)
                assert_true(missing_of(&hunt, &hint, i == steps) > 0);
        }
    }
}

static void help_is_counted_for_what_it_led_to(void **state)
{
    (void)state;
    struct hf_hunt hunt = hunt_of("0 4 8", "016", "0"); /* the first target is id 1 */
    hf_pcset target = hunt.completions[0].pcs, other = hunt.completions[3].pcs;
    step(&hunt);
    assert_int_equal(hf_hunt_judge(&hunt, target).hints, 0); /* that told of none in particular */
    step(&hunt);
    step(&hunt);
    assert_int_equal(hf_hunt_judge(&hunt, target).hints, 3);
    assert_int_equal(hf_hunt_judge(&hunt, other).hints, 0);
    answer(&hunt, other); /* found without: the hints still lead to the first */
    assert_int_equal(hunt.target, 0);
    assert_int_equal(hunt.step, 3);
    answer(&hunt, target);
    assert_int_equal(hunt.hints[0], 3);
    assert_int_equal(hunt.hints[3], 0);
    assert_int_equal(hunt.step, 0); /* and begin anew for the next */
    assert_int_not_equal(hunt.target, 0);
}

static void records_from_elsewhere_do_no_harm(void **state)
{
    (void)state;
    struct hf_hunt hunt = hunt_of("0 4 8", "016", "0"), before = hunt;
    struct hf_record records[] = {
        {.type = HF_RECORD_HINT, .hints = 4},                        /* steps left out */
        {.type = HF_RECORD_ANSWER, .pcs = 0x7, .finding = HF_FOUND}, /* no completion */
        {.type = HF_RECORD_ANSWER, .cue = 3, .id = 2},               /* of another practice */
        {.type = HF_RECORD_MARK, .cue = 3},
    };
    for (size_t i = 0; i < sizeof records / sizeof records[0]; i++)
        hf_hunt_apply(&hunt, &records[i]);
    assert_memory_equal(&hunt, &before, sizeof hunt);
    struct hf_hunt none;
    memset(&none, 0, sizeof none); /* as in a timeline of another practice */
    struct hf_record hint = {.type = HF_RECORD_HINT, .hints = 1};
    hf_hunt_apply(&none, &hint);
    assert_int_equal(none.step, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_three_notes_are_judged_over_every_triad),
        cmocka_unit_test(any_added_class_is_judged_alike),
        cmocka_unit_test(what_was_found_is_told_by_its_number),
        cmocka_unit_test(hints_are_true_and_only_the_last_tells_the_whole),
        cmocka_unit_test(hints_fit_other_pairings_too),
        cmocka_unit_test(help_is_counted_for_what_it_led_to),
        cmocka_unit_test(records_from_elsewhere_do_no_harm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
