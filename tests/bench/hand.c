/* SPDX-License-Identifier: MIT */
/*
 * What the search for shapes costs: the slowest of all sets, families and a long tour, each beside
 * its target, and one search beside counting through every string and fret in the same run. Figures
 * to read, no test.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <holdfast/grip.h>
#include <holdfast/instrumentfile.h>

#include "brute.h"

enum { TRIAD = 1 << 0 | 1 << 4 | 1 << 8, TOUR_GRIPS = 300, ROUNDS = 5 };

static double processor_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static void must(enum hf_status status)
{
    if (status == HF_OK)
        return;
    fprintf(stderr, "hand: %s\n", hf_status_text(status));
    exit(1);
}

static struct hf_fretboard board_of(const char *name, int frets)
{
    struct hf_fretboard board;
    const char *text = hf_instrumentfile_find_builtin(name);
    must(hf_instrumentfile_parse(text, strlen(text), name, name, &board, NULL));
    board.frets = frets;
    return board;
}

/* The least of some rounds, in milliseconds, sorted. */
static double search(const struct hf_fretboard *board, hf_pcset set, size_t *count)
{
    struct hf_shapes_ask ask;
    double least = 1e9;
    hf_shapes_ask_init(&ask, board);
    ask.set = set;
    for (int round = 0; round < ROUNDS; round++) {
        struct hf_shapes found;
        double begun = processor_ms();
        must(hf_shapes_find(board, &ask, &found, NULL));
        double took = processor_ms() - begun;
        least = took < least ? took : least;
        *count = found.count;
        hf_shapes_free(&found);
    }
    return least;
}

static void slowest_of_size(const struct hf_fretboard *board, int size, double target_ms)
{
    double slowest = 0;
    size_t shapes = 0;
    for (int set = 0; set < HF_SETS; set++) {
        size_t count = 0;
        if (hf_pcset_size((hf_pcset)set) != size)
            continue;
        double took = search(board, (hf_pcset)set, &count);
        if (took <= slowest)
            continue;
        slowest = took;
        shapes = count;
    }
    printf("%d notes, 6 strings, 24 frets    %7.3f ms, the slowest set (%zu shapes; target: under "
           "%g)\n",
           size, slowest, shapes, target_ms);
}

static void beside_brute_force(const struct hf_fretboard *board)
{
    hf_pcset set = 1 << 0 | 1 << 1 | 1 << 2 | 1 << 4 | 1 << 7 | 1 << 8;
    struct brute_wish wish = {.pcs = set,
                              .string_high = 11,
                              .fret_high = 99,
                              .position_low = -1,
                              .reach_mm = board->reach_mm,
                              .fingers = board->fingers};
    size_t count = 0;
    double took = search(board, set, &count), begun = processor_ms();
    brute_search(board, &wish);
    double slow = processor_ms() - begun;
    printf("counting through every fret    %8.3f ms for one of these, %.0f times the search's "
           "(%d shapes, %zu)\n",
           slow, slow / took, brute_count, count);
}

static void families(const char *name, double target_ms)
{
    struct hf_fretboard board = board_of(name, 24);
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    int count = hf_pairing_complete(TRIAD, hf_setclass_find(3, 5), completions);
    struct hf_shapes_ask ask;
    struct hf_families found;
    struct hf_family_pairs pairs;
    hf_shapes_ask_init(&ask, &board);
    double begun = processor_ms();
    must(hf_families_find(&board, &ask, TRIAD, completions, count, &found, NULL));
    must(hf_family_pairs_find(&board, &found, &pairs, NULL));
    printf("families, %-14s %14.3f ms (%zu families, %zu pairs; target: under %g)\n", name,
           processor_ms() - begun, found.count, pairs.count, target_ms);
    hf_family_pairs_free(&pairs);
    hf_families_free(&found);
}

/* The longest tour of at most 300 grips on seven strings, with a reach that gives it. */
static void tour(double target_ms)
{
    struct hf_fretboard board = board_of("seven-string", 24);
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    int count = hf_pairing_complete(TRIAD, hf_setclass_find(3, 5), completions);
    struct hf_shapes_ask ask;
    struct hf_shapes grips;
    size_t most = 0, best = 0;
    board.reach_mm = 160;
    hf_shapes_ask_init(&ask, &board);
    ask.set = TRIAD;
    must(hf_shapes_find(&board, &ask, &grips, NULL));
    for (size_t i = 0; i < grips.count; i++) {
        size_t around = 0;
        for (int c = 0; c < count; c++) {
            struct hf_shapes_ask of = hf_grip_ask(&ask, &grips.shape[i], completions[c].pcs);
            struct hf_shapes found;
            must(hf_shapes_find(&board, &of, &found, NULL));
            around += found.count;
            hf_shapes_free(&found);
        }
        if (around <= TOUR_GRIPS && around > most) {
            most = around;
            best = i;
        }
    }
    struct hf_tour walk;
    double begun = processor_ms();
    must(hf_tour_find(&board, &ask, &grips.shape[best], completions, count, &walk, NULL));
    printf("a tour of %zu grips            %8.3f ms (%.2f %% over its bound; target: under %g)\n",
           walk.count, processor_ms() - begun,
           100 * (walk.length_mm - walk.bound_mm) / walk.bound_mm, target_ms);
    hf_tour_free(&walk);
    hf_shapes_free(&grips);
}

int main(void)
{
    struct hf_fretboard board = board_of("guitar", 24);
    slowest_of_size(&board, 6, 50);
    slowest_of_size(&board, 3, 5);
    beside_brute_force(&board);
    families("guitar", 1000);
    families("seven-string", 1000);
    tour(1000);
    return 0;
}
