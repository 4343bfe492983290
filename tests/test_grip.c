/* SPDX-License-Identifier: MIT */
/* Completions around a held grip, families and their pairs, tours: against slow searches that share
 * nothing with them. */
#include "check.h"

#include <stdio.h>

#include <holdfast/grip.h>
#include <holdfast/instrumentfile.h>

#include "brute.h"

#define COUNT(rows) (sizeof(rows) / sizeof *(rows))

enum { TRIAD = 1 << 0 | 1 << 4 | 1 << 8 };

struct place {
    struct hf_fretboard board;
    struct hf_shapes_ask ask;
    hf_pcset held;
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    int count;
};

static struct place place_of(const char *instrument, hf_pcset held)
{
    struct place place = {.held = held};
    const char *text = hf_instrumentfile_find_builtin(instrument);
    assert_non_null(text);
    assert_ok(hf_instrumentfile_parse(text, strlen(text), "f", instrument, &place.board, NULL));
    hf_shapes_ask_init(&place.ask, &place.board);
    place.count = hf_pairing_complete(held, hf_setclass_find(3, 5), place.completions);
    return place;
}

static struct hf_shape shape_of(const struct place *place, const char *frets)
{
    struct hf_strings strings = hf_fretboard_strings(&place->board);
    struct hf_notes_how how = {.strings = &strings};
    struct hf_notes notes;
    struct hf_shape shape;
    assert_ok(hf_notes_parse(frets, &how, &notes, NULL));
    assert_ok(hf_shape_of_notes(&place->board, &notes, &shape, NULL));
    return shape;
}

static struct hf_shapes grips_of(const struct place *place, int fret_high)
{
    struct hf_shapes_ask ask = hf_grip_ask_held(&place->ask, place->held, NULL, 0);
    struct hf_shapes grips;
    ask.fret_high = fret_high;
    assert_ok(hf_shapes_find(&place->board, &ask, &grips, NULL));
    return grips;
}

/* The slow search for a completion added to a grip. */
static int brute_added(const struct place *place, const struct hf_shape *held, hf_pcset added)
{
    int frets[12];
    struct brute_wish wish = {.pcs = added,
                              .string_high = 11,
                              .fret_high = 99,
                              .position_low = -1,
                              .reach_mm = place->board.reach_mm,
                              .fingers = place->board.fingers,
                              .held = frets};
    for (int s = 0; s < 12; s++)
        frets[s] = held->fret[s];
    brute_search(&place->board, &wish);
    return brute_count;
}

/* ---- around a held grip ---------------------------------------------------------------------- */

/* Every three-string grip of the four triads in frets 0 to 12 on the guitar: how many of the six
 * can be added in the same hand, reach 100 mm and four fingers, the added notes anywhere on its 19
 * frets. pinned: these counts stand in the README; the slow search checks every grip. */
static void the_grips_of_the_four_triads_allow_as_many_completions_as_the_readme_says(void **state)
{
    (void)state;
    static const int pinned[4][7] = {{4, 16, 10, 12, 8, 10, 2},
                                     {2, 14, 14, 7, 5, 4, 0},
                                     {1, 7, 14, 11, 8, 5, 1},
                                     {7, 11, 16, 7, 11, 10, 3}};
    int sum[7] = {0};
    for (int root = 0; root < 4; root++) {
        struct place place = place_of("guitar", hf_pcset_transpose(TRIAD, root));
        struct hf_shapes grips = grips_of(&place, 12);
        int allow[7] = {0};
        for (size_t i = 0; i < grips.count; i++) {
            bool can[HF_COMPLETIONS_MOST];
            int playable = 0;
            assert_ok(hf_grip_count(&place.board, &place.ask, &grips.shape[i], place.completions,
                                    place.count, can, &playable, NULL));
            for (int c = 0; c < place.count; c++)
                assert_int_equal(
                    can[c], brute_added(&place, &grips.shape[i], place.completions[c].pcs) > 0);
            allow[playable]++;
            sum[playable]++;
        }
        printf("# triad %d: %zu grips; allow 0 to 6:", root, grips.count);
        for (int n = 0; n < 7; n++)
            printf(" %d", allow[n]);
        printf("\n");
        for (int n = 0; n < 7; n++)
            assert_int_equal(allow[n], pinned[root][n]);
        hf_shapes_free(&grips);
    }
    printf("# all four:");
    for (int n = 0; n < 7; n++)
        printf(" %d", sum[n]);
    printf("\n");
}

static void the_best_grip_is_one_that_allows_most(void **state)
{
    (void)state;
    /* in frets 0 to 12 no grip of the second triad has all six, and several have five */
    struct place place = place_of("guitar", hf_pcset_transpose(TRIAD, 1));
    struct hf_shapes grips = grips_of(&place, 12);
    size_t best = 0;
    int most = 0, seen = -1;
    assert_ok(hf_grip_best(&place.board, &place.ask, &grips, place.completions, place.count, &best,
                           &most, NULL));
    for (size_t i = 0; i < grips.count; i++) {
        int can = 0;
        assert_ok(hf_grip_count(&place.board, &place.ask, &grips.shape[i], place.completions,
                                place.count, NULL, &can, NULL));
        if (can > seen) {
            seen = can;
            if (can == most)
                assert_int_equal(i, best);
        }
    }
    assert_int_equal(seen, most);
    hf_shapes_free(&grips);
}

/* The nearest of all grips from which a completion can be added, found by looking at each. */
static bool nearest_by_trying(const struct place *place, const struct hf_shape *held,
                              hf_pcset added, bool pitches, struct hf_shape *nearest)
{
    struct hf_shapes grips = grips_of(place, place->board.frets);
    struct hf_voicing voicing = hf_shape_voicing(&place->board, held);
    bool any = false;
    for (size_t i = 0; i < grips.count; i++) {
        const struct hf_shape *grip = &grips.shape[i];
        struct hf_voicing other = hf_shape_voicing(&place->board, grip);
        if (hf_shape_same(grip, held) || (pitches && !hf_voicing_same(&voicing, &other)) ||
            !brute_added(place, grip, added))
            continue;
        double leap = hf_shape_leap_mm(&place->board, held, grip);
        double way = hf_shape_way_mm(&place->board, held, grip);
        double best_leap = any ? hf_shape_leap_mm(&place->board, held, nearest) : 1e9;
        double best_way = any ? hf_shape_way_mm(&place->board, held, nearest) : 1e9;
        if (leap < best_leap || (leap <= best_leap && way < best_way))
            *nearest = *grip;
        any = true;
    }
    hf_shapes_free(&grips);
    return any;
}

static void the_nearest_other_grip_is_found(void **state)
{
    (void)state;
    static const char *const rows[] = {"x-3-2-1-x-x", "8-7-6-x-x-x", "0-x-x-1-1-x", "x-x-x-5-5-4",
                                       "x-15-14-13-x-x"};
    int same_pitches = 0, other = 0;
    struct place place = place_of("guitar", TRIAD);
    for (size_t r = 0; r < COUNT(rows); r++)
        for (int c = 0; c < place.count; c++) {
            struct hf_shape held = shape_of(&place, rows[r]), grip, tried;
            hf_pcset added = place.completions[c].pcs;
            bool found = false, same = false;
            assert_ok(hf_grip_nearest(&place.board, &place.ask, &held, added, &found, &grip, &same,
                                      NULL));
            bool by_pitch = nearest_by_trying(&place, &held, added, true, &tried);
            if (!by_pitch)
                assert_int_equal(found, nearest_by_trying(&place, &held, added, false, &tried));
            assert_int_equal(found && same, by_pitch);
            same_pitches += by_pitch;
            other += found && !by_pitch;
            if (!found)
                continue;
            assert_true(hf_shape_leap_mm(&place.board, &held, &grip) <=
                        hf_shape_leap_mm(&place.board, &held, &tried));
            assert_true(hf_shape_way_mm(&place.board, &held, &grip) <=
                        hf_shape_way_mm(&place.board, &held, &tried));
            assert_true(brute_added(&place, &grip, added) > 0);
        }
    assert_true(same_pitches > 0 && other > 0); /* both ways are seen */
}

/* ---- families -------------------------------------------------------------------------------- */

static ptrdiff_t family_with(const struct place *place, const struct hf_families *families,
                             const char *frets)
{
    struct hf_shape base = shape_of(place, frets);
    for (size_t i = 0; i < families->count; i++)
        if (hf_shape_same(&families->family[i].base, &base))
            return (ptrdiff_t)i;
    return -1;
}

static void the_six_published_grips_are_one_pair_of_families(void **state)
{
    (void)state;
    /* published (exhaustive computation): 2-2-2-1-1-1, 6-6-6-5-5-5, 10-10-10-9-9-9 hold C E G# with
     * {5,6,11}, {3,9,10}, {1,2,7}; 4-4-4-5-5-3, 8-8-8-9-9-7, 12-12-12-13-13-11 with {1,6,7},
     * {5,10,11}, {2,3,9} */
    static const struct {
        const char *frets[3];
        int sets[3];
    } rows[] = {{{"2-2-2-1-1-1", "6-6-6-5-5-5", "10-10-10-9-9-9"},
                 {1 << 5 | 1 << 6 | 1 << 11, 1 << 3 | 1 << 9 | 1 << 10, 1 << 1 | 1 << 2 | 1 << 7}},
                {{"4-4-4-5-5-3", "8-8-8-9-9-7", "12-12-12-13-13-11"},
                 {1 << 1 | 1 << 6 | 1 << 7, 1 << 5 | 1 << 10 | 1 << 11, 1 << 2 | 1 << 3 | 1 << 9}}};
    struct place place = place_of("guitar", TRIAD);
    struct hf_families families;
    struct hf_family_pairs pairs;
    ptrdiff_t at[2];
    int met = 0;
    assert_ok(hf_families_find(&place.board, &place.ask, TRIAD, place.completions, place.count,
                               &families, NULL));
    for (size_t r = 0; r < 2; r++) {
        at[r] = family_with(&place, &families, rows[r].frets[0]);
        assert_true(at[r] >= 0);
        const struct hf_family *family = &families.family[at[r]];
        assert_int_equal(family->kind, (int)r + 1);
        assert_int_equal(family->positions, 3);
        assert_int_equal(family->step, 4);
        for (int p = 0; p < 3; p++) {
            char text[HF_SHAPE_TEXT];
            struct hf_shape member = hf_family_member(&place.board, family, p);
            assert_string_equal(hf_shape_format(&place.board, &member, text), rows[r].frets[p]);
            assert_int_equal(place.completions[family->id[p] - 1].pcs, rows[r].sets[p]);
        }
    }
    assert_ok(hf_family_pairs_find(&place.board, &families, &pairs, NULL));
    for (size_t i = 0; i < pairs.count; i++)
        met += pairs.pair[i].a == (uint32_t)at[0] && pairs.pair[i].b == (uint32_t)at[1];
    assert_int_equal(met, 1);
    hf_family_pairs_free(&pairs);
    hf_families_free(&families);
}

/* All grips of all completions by the slow search; a family begins where the same frets four and
 * eight higher are grips too and four lower is no fret. */
static int families_by_trying(const struct place *place, const struct hf_families *families)
{
    static int all[8192][12];
    int total = 0, meant = 0;
    for (int c = 0; c < place->count; c++) {
        struct brute_wish wish = {.pcs = place->completions[c].united,
                                  .no_open = true,
                                  .string_high = 11,
                                  .fret_high = 99,
                                  .position_low = -1,
                                  .reach_mm = place->board.reach_mm,
                                  .fingers = place->board.fingers};
        brute_search(&place->board, &wish);
        for (int i = 0; i < brute_count && total < 8192; i++)
            memcpy(all[total++], brute_found[i].fret, sizeof all[0]);
    }
    for (int i = 0; i < total; i++) {
        int lowest = 99, moved[2] = {0, 0};
        struct hf_shape base;
        hf_shape_init(&base);
        for (int s = 0; s < 12; s++) {
            lowest = all[i][s] > 0 && all[i][s] < lowest ? all[i][s] : lowest;
            base.fret[s] = (int8_t)all[i][s];
        }
        for (int j = 0; j < total; j++)
            for (int by = 0; by < 2; by++) {
                bool same = true;
                for (int s = 0; s < 12; s++)
                    same = same && all[j][s] == (all[i][s] > 0 ? all[i][s] + 4 + 4 * by : -1);
                moved[by] += same;
            }
        if (lowest > 4 || !moved[0] || !moved[1])
            continue;
        meant++;
        bool listed = false;
        for (size_t f = 0; f < families->count; f++)
            listed = listed || hf_shape_same(&families->family[f].base, &base);
        assert_true(listed);
    }
    return meant;
}

static void families_are_all_grips_that_can_move_by_four_frets(void **state)
{
    (void)state;
    static const char *const names[] = {"guitar", "dropped-d", "fourths"};
    for (size_t i = 0; i < COUNT(names); i++)
        for (int root = (int)i; root < (i ? (int)i + 1 : 2); root++) {
            struct place place = place_of(names[i], hf_pcset_transpose(TRIAD, root));
            struct hf_families families;
            assert_ok(hf_families_find(&place.board, &place.ask, place.held, place.completions,
                                       place.count, &families, NULL));
            assert_int_equal(families_by_trying(&place, &families), families.count);
            assert_true(families.count > 0);
            for (size_t f = 1; f < families.count; f++)
                assert_true(families.family[f - 1].kind <= families.family[f].kind);
            hf_families_free(&families);
        }
}

/* Up the neck frets are closer together and strings farther apart: a grip across may grow. */
static void every_member_of_a_family_is_within_reach(void **state)
{
    (void)state;
    struct place place = place_of("seven-string", TRIAD);
    struct hf_families families, fewer;
    int grown = 0;
    assert_ok(hf_families_find(&place.board, &place.ask, TRIAD, place.completions, place.count,
                               &families, NULL));
    for (size_t f = 0; f < families.count; f++) {
        const struct hf_family *family = &families.family[f];
        struct hf_shape last = hf_family_member(&place.board, family, 2);
        if (last.reach_mm <= family->base.reach_mm)
            continue;
        grown++;
        place.ask.reach_mm = (family->base.reach_mm + last.reach_mm) / 2;
        assert_ok(hf_families_find(&place.board, &place.ask, TRIAD, place.completions, place.count,
                                   &fewer, NULL));
        for (size_t i = 0; i < fewer.count; i++)
            assert_false(hf_shape_same(&fewer.family[i].base, &family->base));
        hf_families_free(&fewer);
    }
    assert_true(grown > 0);
    hf_families_free(&families);
}

/* derived: the held notes are all over, all under, or among the added ones, read off the notes. */
static void pairs_give_all_six_in_one_relation_nearest_first(void **state)
{
    (void)state;
    struct place place = place_of("seven-string", TRIAD);
    struct hf_families families;
    struct hf_family_pairs pairs;
    size_t expected = 0, relations[3] = {0};
    assert_ok(hf_families_find(&place.board, &place.ask, TRIAD, place.completions, place.count,
                               &families, NULL));
    assert_ok(hf_family_pairs_find(&place.board, &families, &pairs, NULL));
    for (size_t f = 0; f < families.count; f++) {
        const struct hf_family *family = &families.family[f];
        int notes[12], low[2] = {999, 999}, high[2] = {0, 0};
        int count = hf_shape_notes(&place.board, &family->base, notes);
        for (int i = 0; i < count; i++) {
            int side = hf_pcset_has(TRIAD, hf_pc(notes[i]));
            low[side] = notes[i] < low[side] ? notes[i] : low[side];
            high[side] = notes[i] > high[side] ? notes[i] : high[side];
        }
        assert_int_equal(family->relation, low[1] > high[0]   ? HF_RELATION_ABOVE
                                           : high[1] < low[0] ? HF_RELATION_BELOW
                                                              : HF_RELATION_THROUGH);
        relations[family->relation]++;
        for (size_t g = 0; g < families.count; g++)
            expected += family->kind == 1 && families.family[g].kind == 2 &&
                        families.family[g].relation == family->relation;
    }
    assert_true(relations[0] && relations[1] && relations[2]);
    assert_int_equal(pairs.count, expected);
    for (size_t i = 0; i < pairs.count; i++) {
        const struct hf_family *a = &families.family[pairs.pair[i].a];
        const struct hf_family *b = &families.family[pairs.pair[i].b];
        double leap = 1e9, way = 1e9;
        unsigned met = 0;
        for (int p = 0; p < 3; p++)
            met |= 1u << a->id[p] | 1u << b->id[p];
        assert_int_equal(met, 0x7e);
        assert_int_equal(a->relation, b->relation);
        for (int p = 0; p < 9; p++) {
            struct hf_shape from = hf_family_member(&place.board, a, p / 3);
            struct hf_shape to = hf_family_member(&place.board, b, p % 3);
            double l = hf_shape_leap_mm(&place.board, &from, &to);
            double w = hf_shape_way_mm(&place.board, &from, &to);
            way = l < leap || (l <= leap && w < way) ? w : way;
            leap = l < leap ? l : leap;
        }
        assert_true(fabs(pairs.pair[i].leap_mm - leap) < 1e-6);
        assert_true(fabs(pairs.pair[i].way_mm - way) < 1e-6);
        if (i)
            assert_true(pairs.pair[i - 1].leap_mm < leap ||
                        (pairs.pair[i - 1].leap_mm <= leap && pairs.pair[i - 1].way_mm <= way));
    }
    hf_family_pairs_free(&pairs);
    hf_families_free(&families);
}

static void where_there_is_no_family_the_reason_is_told(void **state)
{
    (void)state;
    static const struct {
        const char *instrument;
        int held;
        double reach_mm;
        int fret_high;
        const char *says;
    } rows[] = {
        {"bass", TRIAD, 100, 20, "too many notes: 6, and the instrument has 4 strings"},
        {"guitar", 1 << 0 | 1 << 4 | 1 << 7, 100, 19,
         "no move along the neck keeps the held notes"},
        {"guitar", TRIAD, 30, 19, "mm over 30"},
        {"guitar", TRIAD, 100, 9, "no grip finds all its places between fret 1 and fret 9"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct place place = place_of(rows[i].instrument, (hf_pcset)rows[i].held);
        struct hf_diag diag = {0};
        place.ask.reach_mm = rows[i].reach_mm;
        place.ask.fret_high = rows[i].fret_high;
        enum hf_status status = hf_families_explain(&place.board, &place.ask, place.held,
                                                    place.completions, place.count, &diag);
        if (status != HF_E_USAGE || !strstr(diag.message, rows[i].says))
            fail_msg("row %zu: %s", i, diag.message);
    }
    struct place place = place_of("guitar", TRIAD);
    struct hf_diag diag;
    assert_ok(hf_families_explain(&place.board, &place.ask, TRIAD, place.completions, place.count,
                                  &diag));
    assert_int_equal(hf_families_explain(&place.board, &place.ask, TRIAD, NULL, 0, &diag),
                     HF_E_USAGE);
}

/* A held set that comes back after a tritone: families of two positions. */
static void other_held_sets_move_by_their_own_step(void **state)
{
    (void)state;
    struct place place = place_of("guitar", 1 << 0 | 1 << 6);
    struct hf_families families;
    assert_ok(hf_families_find(&place.board, &place.ask, place.held, place.completions, place.count,
                               &families, NULL));
    assert_true(families.count > 0);
    for (size_t i = 0; i < families.count; i++) {
        const struct hf_family *family = &families.family[i];
        assert_int_equal(family->step, 6);
        assert_int_equal(family->positions, 2);
        for (int p = 0; p < 2; p++) {
            struct hf_shape member = hf_family_member(&place.board, family, p);
            const struct hf_completion *one = &place.completions[family->id[p] - 1];
            assert_int_equal(hf_shape_set(&place.board, &member), one->united);
            assert_int_equal(one->kind, family->kind);
        }
    }
    hf_families_free(&families);
}

/* ---- tours ----------------------------------------------------------------------------------- */

static void a_tour_stops_at_every_grip_around_the_held_one(void **state)
{
    (void)state;
    static const char *const rows[] = {"x-3-2-1-x-x", "x-x-10-9-9-x", "8-7-6-x-x-x"};
    struct place place = place_of("guitar", TRIAD);
    for (size_t r = 0; r < COUNT(rows); r++) {
        struct hf_shape held = shape_of(&place, rows[r]);
        struct hf_tour tour;
        size_t expected = 0;
        double length = 0;
        assert_ok(hf_tour_find(&place.board, &place.ask, &held, place.completions, place.count,
                               &tour, NULL));
        for (int c = 0; c < place.count; c++) {
            brute_added(&place, &held, place.completions[c].pcs);
            expected += (size_t)brute_count;
            for (int i = 0; i < brute_count; i++) {
                int met = 0;
                for (size_t s = 0; s < tour.count; s++)
                    met += tour.stop[s].id == place.completions[c].id &&
                           brute_find(tour.stop[s].shape.fret) == i;
                assert_int_equal(met, 1);
            }
        }
        assert_int_equal(tour.count, expected);
        for (size_t s = 1; s < tour.count; s++) {
            double way =
                hf_shape_way_mm(&place.board, &tour.stop[s - 1].shape, &tour.stop[s].shape);
            assert_true(fabs(way - tour.stop[s].way_mm) < 1e-9);
            length += way;
        }
        assert_true(fabs(length - tour.length_mm) < 1e-6);
        assert_true(tour.bound_mm <= tour.length_mm);
        assert_int_equal(tour.shortest, tour.length_mm - tour.bound_mm < 1e-6);
        hf_tour_free(&tour);
    }
}

/* A long walk is called shortest only where its bound has reached it. */
static void a_tour_is_called_shortest_only_where_that_is_proven(void **state)
{
    (void)state;
    struct place place = place_of("seven-string", TRIAD);
    struct hf_shapes grips = grips_of(&place, 24);
    int proven = 0, open = 0;
    for (size_t i = 0; i < grips.count && !(proven && open); i += 7) {
        struct hf_tour tour;
        assert_ok(hf_tour_find(&place.board, &place.ask, &grips.shape[i], place.completions,
                               place.count, &tour, NULL));
        assert_int_equal(tour.shortest, tour.length_mm - tour.bound_mm < 1e-6);
        proven += tour.count > HF_TOUR_EXACT && tour.shortest;
        open += !tour.shortest;
        hf_tour_free(&tour);
    }
    assert_true(proven && open);
    hf_shapes_free(&grips);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_grips_of_the_four_triads_allow_as_many_completions_as_the_readme_says),
        cmocka_unit_test(the_best_grip_is_one_that_allows_most),
        cmocka_unit_test(the_nearest_other_grip_is_found),
        cmocka_unit_test(the_six_published_grips_are_one_pair_of_families),
        cmocka_unit_test(families_are_all_grips_that_can_move_by_four_frets),
        cmocka_unit_test(every_member_of_a_family_is_within_reach),
        cmocka_unit_test(pairs_give_all_six_in_one_relation_nearest_first),
        cmocka_unit_test(where_there_is_no_family_the_reason_is_told),
        cmocka_unit_test(other_held_sets_move_by_their_own_step),
        cmocka_unit_test(a_tour_stops_at_every_grip_around_the_held_one),
        cmocka_unit_test(a_tour_is_called_shortest_only_where_that_is_proven),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
