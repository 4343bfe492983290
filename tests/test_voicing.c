/* SPDX-License-Identifier: MIT */
/* Voicings: lists against every set of notes of a register, measures against formulas and against
 * every assignment. */
#include "check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/pitch.h>
#include <holdfast/random.h>
#include <holdfast/voicing.h>

#define COUNT(rows) (sizeof(rows) / sizeof *(rows))

static struct hf_voicing found[HF_VOICINGS_MOST];

static struct hf_voicing voicing(int count, const int *notes)
{
    return hf_voicing_of(notes, count);
}

static bool is_found(int count, const struct hf_voicing *one)
{
    for (int i = 0; i < count; i++)
        if (hf_voicing_same(&found[i], one))
            return true;
    return false;
}

/* ---- every set of notes of a register, told by what the words mean -------------------------- */

/* derived: close is within an octave; open is close once one or two of its notes, none of them the
 * close one's lowest, are put back an octave up. */
static bool means_close(const struct hf_voicing *v)
{
    return v->notes[v->count - 1] - v->notes[0] < 12;
}

static bool means_open(const struct hf_voicing *v)
{
    for (unsigned raised = 1; raised < 1u << v->count; raised++) {
        int notes[HF_PCS], lowest_kept = 1000, lowest = 1000;
        if (__builtin_popcount(raised) > 2)
            continue;
        for (int i = 0; i < v->count; i++) {
            notes[i] = v->notes[i] + (raised >> i & 1 ? 12 : 0);
            lowest = notes[i] < lowest ? notes[i] : lowest;
            if (!(raised >> i & 1) && notes[i] < lowest_kept)
                lowest_kept = notes[i];
        }
        struct hf_voicing close = hf_voicing_of(notes, v->count);
        if (close.count == v->count && means_close(&close) && lowest == lowest_kept)
            return true;
    }
    return false;
}

/* Every choice of one note for each pitch class between low and high; counts the close and open
 * ones and looks for each in `found`. */
static int count_meant(hf_pcset set, int low, int high, bool close, bool open, int listed)
{
    int pcs[HF_PCS], at[HF_PCS], total = 0;
    int count = hf_pcset_list(set, pcs);
    for (int i = 0; i < count; i++)
        at[i] = pcs[i];
    for (;;) {
        bool inside = true;
        for (int i = 0; i < count; i++)
            inside = inside && at[i] >= low && at[i] <= high;
        struct hf_voicing v = hf_voicing_of(at, count);
        if (inside && (means_close(&v) ? close : open && means_open(&v))) {
            total++;
            assert_true(is_found(listed, &v));
        }
        int i = 0;
        for (; i < count; i++) {
            at[i] += 12;
            if (at[i] <= high)
                break;
            at[i] = pcs[i];
        }
        if (i == count)
            return total;
    }
}

static void lists_hold_every_close_and_open_voicing_and_no_other(void **state)
{
    (void)state;
    struct hf_random random;
    hf_random_init(&random, 6, 1);
    for (int turn = 0; turn < 300; turn++) {
        hf_pcset set = (hf_pcset)(1 + hf_random_below(&random, HF_PCSET_ALL));
        while (hf_pcset_size(set) > 5)
            set = (hf_pcset)(set & (set - 1));
        int low = (int)hf_random_below(&random, 100);
        int high = low + 6 + (int)hf_random_below(&random, 34);
        struct hf_voicing_ask ask = {.low = low, .high = high};
        ask.no_close = turn % 3 == 1;
        ask.no_open = turn % 3 == 2;
        high = high > 127 ? 127 : high;
        int listed = hf_voicing_find(set, &ask, found);
        assert_int_equal(count_meant(set, low, high, !ask.no_close, !ask.no_open, listed), listed);
    }
}

static void a_triad_has_three_inversions_in_an_octave_and_a_half(void **state)
{
    (void)state;
    /* derived: C major from C4 to E5 lies close as C4 E4 G4, E4 G4 C5, G4 C5 E5; open, with the
     * middle or the top voice of a close one an octave lower, as C4 G4 E5. */
    static const int rows[][3] = {{60, 64, 67}, {64, 67, 72}, {67, 72, 76}, {60, 67, 76}};
    int count = hf_voicing_list(1 << 0 | 1 << 4 | 1 << 7, 60, 76, found);
    assert_int_equal(count, 4);
    for (size_t i = 0; i < 4; i++) {
        struct hf_voicing v = voicing(3, rows[i]);
        assert_true(is_found(count, &v));
        assert_int_equal(hf_voicing_is_close(&v), i < 3);
    }
}

static void doublings_add_octaves_of_voices_in_the_register(void **state)
{
    (void)state;
    for (int extra = 1; extra <= 2; extra++) {
        struct hf_voicing_ask ask = {.low = 48, .high = 79, .no_open = true, .doublings = extra};
        int count = hf_voicing_find(1 << 0 | 1 << 4 | 1 << 7, &ask, found);
        int meant = 0;
        /* derived: every set of notes of C major in the register that has each pitch class, that
         * keeps a close triad when `extra` notes are taken away, each an octave from one kept. */
        for (int a = 48; a <= 79; a++)
            for (int b = a + 1; b <= 79; b++)
                for (int c = b + 1; c <= 79; c++)
                    for (int d = c + 1; d <= 79; d++)
                        for (int e = extra == 2 ? d + 1 : 79; e <= 79; e++) {
                            int all[] = {a, b, c, d, e}, size = 3 + extra;
                            bool good = false;
                            for (unsigned kept = 0; kept < 1u << size && !good; kept++) {
                                int close[5], n = 0, ok = 0;
                                hf_pcset set = 0;
                                if (__builtin_popcount(kept) != 3)
                                    continue;
                                for (int i = 0; i < size; i++)
                                    if (kept >> i & 1) {
                                        close[n++] = all[i];
                                        set = (hf_pcset)(set | 1 << all[i] % 12);
                                    }
                                for (int i = 0; i < size; i++)
                                    for (int j = 0; j < 3 && !(kept >> i & 1); j++)
                                        ok += abs(all[i] - close[j]) == 12;
                                good = set == (1 << 0 | 1 << 4 | 1 << 7) &&
                                       close[2] - close[0] < 12 && ok >= extra;
                            }
                            meant += good;
                            struct hf_voicing v = voicing(size, all);
                            assert_int_equal(good, is_found(count, &v));
                        }
        assert_int_equal(meant, count);
    }
}

/* ---- measures -------------------------------------------------------------------------------- */

static void span_and_spacing_are_counted_in_semitones(void **state)
{
    (void)state;
    static const int notes[] = {56, 48, 52, 67};
    struct hf_voicing v = voicing(4, notes);
    int steps[HF_PCS];
    assert_int_equal(hf_voicing_span(&v), 19);
    assert_int_equal(hf_voicing_spacing(&v, steps), 3);
    assert_int_equal(steps[0], 4);
    assert_int_equal(steps[1], 4);
    assert_int_equal(steps[2], 11);
    struct hf_voicing one = voicing(1, notes), none = voicing(0, notes);
    assert_int_equal(hf_voicing_span(&one), 0);
    assert_int_equal(hf_voicing_spacing(&none, steps), 0);
    static const int octave[] = {48, 52, 60}, less[] = {48, 52, 59};
    struct hf_voicing open = voicing(3, octave), close = voicing(3, less);
    assert_false(hf_voicing_is_close(&open));
    assert_true(hf_voicing_is_close(&close));
}

static void roughness_meets_its_check_value(void **state)
{
    (void)state;
    double d = hf_voicing_roughness(440.0, hf_pitch_to_hz(70, 440.0), 1, 1);
    assert_true(fabs(d - 0.898681) < 5e-7); /* published: 0.898681, after Sethares (1993) */
    assert_true(fabs(hf_voicing_roughness(hf_pitch_to_hz(70, 440.0), 440.0, 1, 3) - d) < 1e-15);
    assert_true(fabs(hf_voicing_roughness(440.0, 440.0, 1, 1)) < 1e-15);
}

/* derived: the place of greatest roughness found by trying, not by the formula of the code. */
static void low_intervals_are_clear_from_where_roughness_has_passed_its_peak(void **state)
{
    (void)state;
    static const struct {
        int interval, from; /* the lowest MIDI note at which it is clear */
    } rows[] = {{1, 69}, {2, 53}, {3, 44}, {4, 38}, {5, 34}};
    for (size_t r = 0; r < COUNT(rows); r++)
        for (int low = 24; low < 100; low++) {
            double hz = hf_pitch_to_hz(low, 440.0), best = 0, at = 0;
            for (int step = 1; step < 20000; step++) {
                double d = hf_voicing_roughness(hz, hz + step * 0.01, 1, 1);
                if (d > best) {
                    best = d;
                    at = step * 0.01;
                }
            }
            int notes[] = {low, low + rows[r].interval};
            struct hf_voicing v = voicing(2, notes);
            double distance = hf_pitch_to_hz(low + rows[r].interval, 440.0) - hz;
            assert_true(fabs(hf_voicing_clearness(&v) - distance / at) < 0.002);
            assert_int_equal(hf_voicing_clearness(&v) >= HF_VOICING_CLEAR, low >= rows[r].from);
        }
}

static void the_limit_of_the_lowest_interval_is_kept(void **state)
{
    (void)state;
    struct hf_voicing_ask ask = {.low = 36, .high = 72};
    int all = hf_voicing_find(1 << 1 | 1 << 2 | 1 << 7, &ask, found), clear = 0;
    for (int i = 0; i < all; i++)
        clear += hf_voicing_clearness(&found[i]) >= HF_VOICING_CLEAR;
    ask.clear_least = HF_VOICING_CLEAR;
    int count = hf_voicing_find(1 << 1 | 1 << 2 | 1 << 7, &ask, found);
    assert_true(count > 0 && count < all);
    assert_int_equal(count, clear);
    for (int i = 0; i < count; i++)
        assert_true(hf_voicing_clearness(&found[i]) >= HF_VOICING_CLEAR);
}

static void relation_is_below_through_or_above(void **state)
{
    (void)state;
    static const int held[] = {48, 52, 56};
    static const struct {
        int notes[3];
        enum hf_relation relation;
    } rows[] = {{{37, 38, 43}, HF_RELATION_BELOW},
                {{57, 61, 62}, HF_RELATION_ABOVE},
                {{47, 49, 61}, HF_RELATION_THROUGH},
                {{36, 40, 48}, HF_RELATION_THROUGH}, /* a shared note is neither under nor over */
                {{56, 61, 62}, HF_RELATION_THROUGH},
                {{43, 49, 50}, HF_RELATION_THROUGH},
                {{40, 41, 60}, HF_RELATION_THROUGH}};
    struct hf_voicing triad = voicing(3, held);
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct hf_voicing v = voicing(3, rows[i].notes);
        assert_int_equal(hf_voicing_relation(&v, &triad), rows[i].relation);
    }
}

/* Every way to send each note of the larger to one of the smaller with none left out. */
static int movement_by_trying(const struct hf_voicing *a, const struct hf_voicing *b)
{
    const struct hf_voicing *many = a->count >= b->count ? a : b;
    const struct hf_voicing *few = many == a ? b : a;
    int best = 1 << 20;
    long ways = 1;
    for (int i = 0; i < many->count; i++)
        ways *= few->count;
    for (long way = 0; way < ways; way++) {
        long left = way;
        unsigned met = 0;
        int total = 0;
        for (int i = 0; i < many->count; i++) {
            int to = (int)(left % few->count);
            left /= few->count;
            met |= 1u << to;
            total += abs(many->notes[i] - few->notes[to]);
        }
        if (met == (1u << few->count) - 1 && total < best)
            best = total;
    }
    return best;
}

static void movement_is_the_least_of_all_assignments(void **state)
{
    (void)state;
    struct hf_random random;
    hf_random_init(&random, 66, 1);
    for (int turn = 0; turn < 2000; turn++) {
        struct hf_voicing pair[2];
        for (int side = 0; side < 2; side++) {
            int notes[6], count = 1 + (int)hf_random_below(&random, 6);
            for (int i = 0; i < count; i++)
                notes[i] = 40 + (int)hf_random_below(&random, 45);
            pair[side] = hf_voicing_of(notes, count);
        }
        int moved = hf_voicing_movement(&pair[0], &pair[1]);
        assert_int_equal(moved, movement_by_trying(&pair[0], &pair[1]));
        assert_int_equal(moved, hf_voicing_movement(&pair[1], &pair[0]));
    }
    /* derived: C4 E4 G4 to C4 F4 A4 moves 0 + 1 + 2 */
    static const int from[] = {60, 64, 67}, to[] = {60, 65, 69};
    struct hf_voicing a = voicing(3, from), b = voicing(3, to), none = voicing(0, to);
    assert_int_equal(hf_voicing_movement(&a, &b), 3);
    assert_int_equal(hf_voicing_movement(&a, &none), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lists_hold_every_close_and_open_voicing_and_no_other),
        cmocka_unit_test(a_triad_has_three_inversions_in_an_octave_and_a_half),
        cmocka_unit_test(doublings_add_octaves_of_voices_in_the_register),
        cmocka_unit_test(span_and_spacing_are_counted_in_semitones),
        cmocka_unit_test(roughness_meets_its_check_value),
        cmocka_unit_test(low_intervals_are_clear_from_where_roughness_has_passed_its_peak),
        cmocka_unit_test(the_limit_of_the_lowest_interval_is_kept),
        cmocka_unit_test(relation_is_below_through_or_above),
        cmocka_unit_test(movement_is_the_least_of_all_assignments),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
