/* SPDX-License-Identifier: MIT */
/* The pages of `shapes` for a guitarist without a manual. Invariant: every page begins with what
 * was understood, in sounding notes, and says how much of what was found is shown. */
#include "shapes.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/paragraph.h>

#include "frames.h"

enum { TITLE_MOST = FRAME_TEXT - 24, LABEL = 7, REFUSED = 12 };

/* ---- words ----------------------------------------------------------------------------------- */

/* "On     guitar (E2 A2 D3 G3 B3 E4; 19 frets, reach 100 mm)" */
static void print_instrument(const struct shapes *asked)
{
    const struct hf_fretboard *board = &asked->board;
    struct hf_paragraph p;
    hf_paragraph_begin(&p, LABEL, "On");
    hf_paragraph_add(&p, "%s (", board->name);
    for (int s = 0; s < board->strings; s++) {
        int midi = asked->open.midi[s];
        char name[HF_SPELLED_TEXT];
        struct hf_spelled spelled = hf_spelling_pc(hf_pc(midi), asked->query.names);
        hf_paragraph_add(&p, "%s%s", s ? " " : "",
                         hf_spelled_format_pitch(spelled, midi, asked->query.names, name));
    }
    if (board->capo)
        hf_paragraph_add(&p, " with the capo at %d", board->capo);
    hf_paragraph_add(&p, "; %d frets, reach %.10g mm)", hf_fretboard_last(board),
                     asked->ask.reach_mm);
    hf_paragraph_end(&p);
}

static void print_why(const char *label, const struct hf_diag *diag)
{
    hf_paragraph_print(LABEL, label, "%s%s%s.", diag->message, diag->advice[0] ? "; " : "",
                       diag->advice);
}

static void add_shape_notes(struct hf_paragraph *p, const struct shapes *asked,
                            const struct hf_notes *spelled, const struct hf_shape *shape)
{
    int notes[HF_STRINGS_MOST];
    int count = hf_shape_notes(&asked->board, shape, notes);
    for (int i = 0; i < count; i++) {
        char name[HF_SPELLED_TEXT];
        struct hf_spelled own[HF_PCS], as = hf_spelling_pc(hf_pc(notes[i]), asked->query.names);
        int pcs[HF_PCS], listed = hf_pcset_list(spelled->set, pcs);
        hf_notes_spelling(spelled, asked->query.names, own);
        for (int j = 0; j < listed; j++)
            if (pcs[j] == hf_pc(notes[i]))
                as = own[j];
        hf_paragraph_add(p, "%s%s", i ? " " : "",
                         hf_spelled_format_pitch(as, notes[i], asked->query.names, name));
    }
}

static struct frames begin_frames(const struct shapes *asked)
{
    return (struct frames){.board = &asked->board, .colour = frames_colour()};
}

static void print_notes(const struct shapes *asked, const char *label)
{
    char text[HF_NOTES_TEXT];
    hf_paragraph_print(LABEL, label, "%s%s",
                       hf_notes_format(&asked->notes, asked->query.names, text),
                       hf_notes_placed(&asked->notes) ? ", as it sounds" : ", in any octave");
}

/* "Held   x-3-2-1-x-x: C3 E3 G#3; 3 fingers, 69 mm" and how it was come by. */
static void print_held(const struct shapes *asked, const struct held *held)
{
    char text[HF_SHAPE_TEXT];
    struct hf_paragraph p;
    hf_paragraph_begin(&p, LABEL, "Held");
    hf_paragraph_add(&p, "%s: ", hf_shape_format(&asked->board, &held->grip, text));
    add_shape_notes(&p, asked, &held->notes, &held->grip);
    hf_paragraph_add(&p, "; %d finger%s, %.0f mm", held->grip.fingers,
                     held->grip.fingers == 1 ? "" : "s", held->grip.reach_mm);
    hf_paragraph_end(&p);
    if (held->chosen && held->choices > 1)
        hf_paragraph_print(LABEL, "",
                           "of %zu grips the one that allows most; hold another by its frets",
                           held->choices);
}

static void print_no_grip(const struct shapes *asked, const struct held *held)
{
    char text[HF_NOTES_TEXT];
    hf_paragraph_print(LABEL, "Held", "%s: no grip",
                       hf_notes_format(&held->notes, asked->query.names, text));
    print_why("Why", &held->diag);
}

/* ---- a list ---------------------------------------------------------------------------------- */

static void print_frames(const struct shapes *asked, const struct hf_shapes *found, size_t shown,
                         hf_pcset held)
{
    struct frames frames = begin_frames(asked);
    for (size_t i = 0; i < shown; i++) {
        struct frame frame = {.shape = found->shape[i], .held = held};
        frames_add(&frames, &frame);
    }
    frames_flush(&frames);
}

void shapes_page(const struct shapes *asked, const struct hf_shapes *found, const struct held *held,
                 const struct hf_diag *diag)
{
    size_t shown = shapes_shown(asked, found->count, SHAPES_TOP);
    print_notes(asked, held ? "Added" : "Notes");
    if (held && held->none) {
        print_no_grip(asked, held);
        return;
    }
    if (held)
        print_held(asked, held);
    print_instrument(asked);
    if (found->count == 0) {
        printf("Found  no shape\n");
        print_why("Why", diag);
        return;
    }
    printf("Found  %zu shape%s, the least reach first", found->count, found->count == 1 ? "" : "s");
    if (shown < found->count)
        printf("; %zu shown, --all shows all", shown);
    printf("\n\n");
    frames_legend(&asked->board, held != NULL);
    printf("\n");
    print_frames(asked, found, shown, held ? held->notes.set : 0);
}

/* ---- completions around a held grip ---------------------------------------------------------- */

static void set_title(const struct shapes *asked, const struct hf_completion *one, char *title)
{
    char names[HF_QUERY_TEXT];
    snprintf(title, FRAME_TEXT, "%d %.*s", one->id, TITLE_MOST,
             hf_query_spell(one->pcs, asked->query.names, names));
}

static void widen(struct frames *frames, const struct frame *frame)
{
    int title = (int)strlen(frame->title), note = (int)strlen(frame->note);
    frames->words = title > frames->words ? title : frames->words;
    frames->words = note > frames->words ? note : frames->words;
}

static struct frame frame_around(const struct shapes *asked, const struct around *around,
                                 const struct hf_shape *shape, hf_pcset held)
{
    struct frame frame = {.shape = *shape, .held = held};
    set_title(asked, around->completion, frame.title);
    return frame;
}

/* Those that can be added: of each its first shapes. */
static void print_playable(const struct shapes *asked, const struct held *held,
                           const struct around *around, int count)
{
    struct frames frames = begin_frames(asked);
    for (int draw = 0; draw < 2; draw++) {
        for (int i = 0; i < count; i++) {
            size_t shown = shapes_shown(asked, around[i].shapes.count, 1);
            for (size_t j = 0; j < shown; j++) {
                struct frame frame =
                    frame_around(asked, &around[i], &around[i].shapes.shape[j], held->notes.set);
                if (shown < around[i].shapes.count)
                    snprintf(frame.note, FRAME_TEXT, "%zu ways", around[i].shapes.count);
                if (draw)
                    frames_add(&frames, &frame);
                else
                    widen(&frames, &frame);
            }
        }
    }
    frames_flush(&frames);
}

static void print_elsewhere(const struct shapes *asked, const struct held *held,
                            const struct around *around, int count)
{
    struct frames frames = begin_frames(asked);
    for (int draw = 0; draw < 2; draw++)
        for (int i = 0; i < count; i++) {
            if (!around[i].elsewhere)
                continue;
            struct frame frame = frame_around(asked, &around[i], &around[i].first, held->notes.set);
            if (draw)
                frames_add(&frames, &frame);
            else
                widen(&frames, &frame);
        }
    frames_flush(&frames);
}

static void print_refused(const struct shapes *asked, const struct held *held,
                          const struct around *around)
{
    char names[HF_QUERY_TEXT], grip[HF_SHAPE_TEXT], title[FRAME_TEXT + 8];
    snprintf(title, sizeof title, "%d %.40s:", around->completion->id,
             hf_query_spell(around->completion->pcs, asked->query.names, names));
    hf_paragraph_print(REFUSED, title, "%s.", around->why.message);
    if (!around->elsewhere) {
        hf_paragraph_print(REFUSED, "", "No other grip of these notes allows it either.");
        return;
    }
    hf_paragraph_print(REFUSED, "", "From %s it can be played (%s; the hand moves %.0f mm).",
                       hf_shape_format(&asked->board, &around->grip, grip),
                       around->same_pitches ? "the same held pitches"
                                            : "the held notes in other octaves",
                       hf_shape_leap_mm(&asked->board, &held->grip, &around->grip));
}

void shapes_around_page(const struct shapes *asked, const struct held *held,
                        const struct around *around, int count)
{
    int can = 0, others = 0;
    if (held->none) {
        print_no_grip(asked, held);
        return;
    }
    print_held(asked, held);
    print_instrument(asked);
    for (int i = 0; i < count; i++) {
        can += around[i].shapes.count > 0;
        others += around[i].elsewhere;
    }
    if (count == 0) {
        struct hf_diag diag = {0};
        if (hf_pairing_explain(held->notes.set, asked->added, &diag) != HF_OK)
            print_why("Found", &diag);
        return;
    }
    printf("Found  %d of %d completions in the same hand\n\n", can, count);
    frames_legend(&asked->board, true);
    printf("\n");
    print_playable(asked, held, around, count);
    if (can == count)
        return;
    printf("Not with this grip, and why:\n");
    for (int i = 0; i < count; i++)
        if (around[i].shapes.count == 0)
            print_refused(asked, held, &around[i]);
    printf(others ? "\nFrom those other grips:\n\n" : "");
    print_elsewhere(asked, held, around, count);
}

/* ---- families -------------------------------------------------------------------------------- */

static void add_members(const struct shapes *asked, const struct hf_completion *completions,
                        const struct hf_family *family, struct frames *frames, bool draw)
{
    for (int i = 0; i < family->positions; i++) {
        struct frame frame = {.shape = hf_family_member(&asked->board, family, i),
                              .held = asked->notes.set};
        set_title(asked, &completions[family->id[i] - 1], frame.title);
        if (draw)
            frames_add(frames, &frame);
        else
            widen(frames, &frame);
    }
}

static void print_members(const struct shapes *asked, const struct hf_completion *completions,
                          const struct hf_family *const *families, int count)
{
    struct frames frames = begin_frames(asked);
    for (int draw = 0; draw < 2; draw++)
        for (int i = 0; i < count; i++)
            add_members(asked, completions, families[i], &frames, draw == 1);
    frames_flush(&frames);
}

static const char *relation_words(enum hf_relation relation)
{
    static const char *const words[] = {"Held notes below the added ones",
                                        "Held notes through the added ones",
                                        "Held notes above the added ones"};
    return words[relation];
}

static void print_pairs(const struct shapes *asked, const struct hf_completion *completions,
                        const struct hf_families *families, const struct hf_family_pairs *pairs,
                        enum hf_relation relation)
{
    size_t all = 0, shown = 0;
    for (size_t i = 0; i < pairs->count; i++)
        all += families->family[pairs->pair[i].a].relation == relation;
    if (all == 0) {
        printf("%s: no pair\n\n", relation_words(relation));
        return;
    }
    size_t most = shapes_shown(asked, all, 1);
    printf("%s: %zu pair%s, the nearest first", relation_words(relation), all, all == 1 ? "" : "s");
    if (most < all)
        printf("; %zu shown, --all shows all", most);
    printf("\n\n");
    for (size_t i = 0; i < pairs->count && shown < most; i++) {
        const struct hf_family_pair *pair = &pairs->pair[i];
        const struct hf_family *both[] = {&families->family[pair->a], &families->family[pair->b]};
        if (both[0]->relation != relation)
            continue;
        shown++;
        printf("%zu. From one grip to the other the hand moves %.0f mm, the fingers %.0f.\n\n",
               shown, pair->leap_mm, pair->way_mm);
        print_members(asked, completions, both, 2);
    }
}

static void print_single(const struct shapes *asked, const struct hf_completion *completions,
                         const struct hf_families *families)
{
    size_t shown = shapes_shown(asked, families->count, SHAPES_TOP);
    for (size_t i = 0; i < shown; i++) {
        const struct hf_family *family = &families->family[i];
        printf("%zu. Kind %d. %s.\n\n", i + 1, family->kind, relation_words(family->relation));
        print_members(asked, completions, &family, 1);
    }
}

void shapes_families_page(const struct shapes *asked, const struct hf_completion *completions,
                          const struct hf_families *families, const struct hf_family_pairs *pairs,
                          const struct hf_diag *diag)
{
    print_notes(asked, "Held");
    print_instrument(asked);
    if (families->count == 0) {
        printf("Found  no family\n");
        print_why("Why", diag);
        return;
    }
    printf("Found  %zu grips that keep the held notes and give another completion each time\n"
           "       they move on by %d frets",
           families->count, families->family[0].step);
    if (pairs->count)
        printf("; in pairs they give all (%zu pairs)", pairs->count);
    printf("\n\n");
    frames_legend(&asked->board, true);
    printf("\n");
    if (pairs->count == 0) {
        print_single(asked, completions, families);
        return;
    }
    print_pairs(asked, completions, families, pairs, HF_RELATION_ABOVE);
    print_pairs(asked, completions, families, pairs, HF_RELATION_THROUGH);
    print_pairs(asked, completions, families, pairs, HF_RELATION_BELOW);
}

/* ---- tour ------------------------------------------------------------------------------------ */

static void print_left_out(const struct shapes *asked, const struct hf_completion *completions,
                           int count, const struct hf_tour *tour)
{
    struct hf_paragraph p;
    bool any = false;
    hf_paragraph_begin(&p, LABEL, "Lacks");
    for (int i = 0; i < count; i++) {
        bool met = false;
        char names[HF_QUERY_TEXT];
        for (size_t s = 0; s < tour->count; s++)
            met = met || tour->stop[s].id == completions[i].id;
        if (met)
            continue;
        hf_paragraph_add_whole(&p, "%s%d %s", any ? ", " : "", completions[i].id,
                               hf_query_spell(completions[i].pcs, asked->query.names, names));
        any = true;
    }
    hf_paragraph_add(&p, ": not in one hand with it");
    if (any)
        hf_paragraph_end(&p);
}

static void print_length(const struct hf_tour *tour)
{
    printf("Way    fingers move %.0f mm in all", tour->length_mm);
    if (tour->shortest)
        printf(", the shortest there is\n");
    else
        printf("; no walk is shorter than %.0f mm (%.1f %% less)\n", tour->bound_mm,
               100 * (tour->length_mm - tour->bound_mm) / tour->length_mm);
}

void shapes_tour_page(const struct shapes *asked, const struct held *held,
                      const struct hf_completion *completions, int count,
                      const struct hf_tour *tour)
{
    struct frames frames = begin_frames(asked);
    size_t shown = shapes_shown(asked, tour->count, tour->count);
    if (held->none) {
        print_no_grip(asked, held);
        return;
    }
    print_held(asked, held);
    print_instrument(asked);
    printf("Found  %zu grip%s around it\n", tour->count, tour->count == 1 ? "" : "s");
    print_left_out(asked, completions, count, tour);
    if (tour->count == 0)
        return;
    print_length(tour);
    printf("\n");
    frames_legend(&asked->board, true);
    printf("\n");
    for (int draw = 0; draw < 2; draw++)
        for (size_t i = 0; i < shown; i++) {
            const struct hf_tour_stop *stop = &tour->stop[i];
            struct frame frame = {.shape = stop->shape, .held = held->notes.set};
            set_title(asked, &completions[stop->id - 1], frame.title);
            if (i)
                snprintf(frame.note, FRAME_TEXT, "+%.0f mm", stop->way_mm);
            if (draw)
                frames_add(&frames, &frame);
            else
                widen(&frames, &frame);
        }
    frames_flush(&frames);
}
