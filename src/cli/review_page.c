/* SPDX-License-Identifier: MIT */
/* The review for a reader. Invariants: a colour never says what a sign or a word does not; no line
 * is wider than 80 columns. */
#include "review.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/paragraph.h>
#include <holdfast/text.h>

#include "frames.h"

enum { LABEL = 12, CELL = 11, BARS = 40, DAYS_SHOWN = 4, LISTED = 3 };
#define MINUTE_MS 60000.0

/* ---- words ----------------------------------------------------------------------------------- */

/* "1 h 05 min", "25 min" */
static const char *length_text(int64_t ms, char text[32])
{
    long minutes = (long)((ms + 30000) / 60000);
    if (minutes >= 60)
        snprintf(text, 32, "%ld h %02ld min", minutes / 60, minutes % 60);
    else
        snprintf(text, 32, "%ld min", minutes);
    return text;
}

/* "D Eb A over C E G#" */
static const char *pair_text(const struct review_asked *asked, const struct review_row *row,
                             char text[2 * HF_QUERY_TEXT])
{
    char pcs[HF_QUERY_TEXT], held[HF_QUERY_TEXT];
    snprintf(text, 2 * HF_QUERY_TEXT, "%s over %s",
             hf_query_spell(row->pcs, asked->query.names, pcs),
             hf_query_spell(row->held, asked->query.names, held));
    return text;
}

static bool came(const struct review_row *row)
{
    return row->cell && (row->cell->cued > 0 || row->cell->found > 0);
}

/* When one that came did so: "today", "yesterday", "5 days ago". */
static const char *ago_text(const struct review_row *row, int32_t today, char text[32])
{
    int32_t days = hf_review_days_since(row->cell, today);
    if (days > 1)
        snprintf(text, 32, "%d days ago", (int)days);
    else
        snprintf(text, 32, "%s", days == 0 ? "today" : "yesterday");
    return text;
}

/* ---- the map --------------------------------------------------------------------------------- */

/* Green, yellow, red; dim for what is not known. */
static const char *colour_of(char sign)
{
    switch (sign) {
    case '#':
        return "\033[32m";
    case '+':
        return "\033[33m";
    case '-':
        return "\033[31m";
    default:
        return "\033[2m";
    }
}

static void print_padded(const char *text, int width)
{
    printf("%-*s", width, text);
}

/* The sign, then got of marked; the last column ends without blanks. */
static void print_cell(const struct review_row *row, bool colour, bool last)
{
    char text[32];
    char sign = hf_review_sign(row->cell);
    uint32_t marked = row->cell ? row->cell->got + row->cell->missed : 0;
    if (!came(row))
        snprintf(text, sizeof text, "  never");
    else if (marked == 0)
        snprintf(text, sizeof text, "%c x%u", sign, row->cell->cued);
    else
        snprintf(text, sizeof text, "%c %u/%u", sign, row->cell->got, marked);
    if (marked > 0 && strlen(text) >= CELL)
        snprintf(text, sizeof text, "%c %.0f %%", sign, 100.0 * row->cell->got / marked);
    if (colour)
        fputs(colour_of(sign), stdout);
    fputs(text, stdout);
    if (colour)
        fputs("\033[0m", stdout);
    if (!last)
        printf("%*s", CELL - (int)strlen(text), "");
}

static void print_map(const struct review_asked *asked, const struct review_row *rows)
{
    /* two kinds of three positions: the rows come by id */
    bool colour = frames_colour();
    printf("%*s%-*s%s\n", LABEL, "", 3 * CELL, "kind 1", "kind 2");
    for (int triad = 0; triad < REVIEW_TRIADS; triad++) {
        const struct review_row *sorted[REVIEW_SIX];
        char name[HF_QUERY_TEXT];
        for (int i = 0; i < REVIEW_SIX; i++) {
            const struct review_row *row = &rows[triad * REVIEW_SIX + i];
            sorted[(row->kind - 1) * 3 + row->position - 1] = row;
        }
        printf("  ");
        print_padded(hf_query_spell(sorted[0]->held, asked->query.names, name), LABEL - 2);
        for (int i = 0; i < REVIEW_SIX; i++) {
            hf_query_spell(sorted[i]->pcs, asked->query.names, name);
            print_padded(name, i + 1 < REVIEW_SIX ? CELL : 0);
        }
        printf("\n%*s", LABEL, "");
        for (int i = 0; i < REVIEW_SIX; i++)
            print_cell(sorted[i], colour, i + 1 == REVIEW_SIX);
        printf("\n");
    }
    printf("  got/marked: # sure  + fair  - weak  ? under 5 marks  . none (x: times cued)\n");
}

/* ---- lists ----------------------------------------------------------------------------------- */

struct ranked {
    const struct review_row *row;
    double weight;
};

static int compare_ranked(const void *a, const void *b)
{
    const struct ranked *one = a, *other = b;
    if (one->weight > other->weight || one->weight < other->weight)
        return one->weight > other->weight ? -1 : 1;
    return one->row < other->row ? -1 : 1; /* in one array */
}

/* Among its last marks. */
static bool has_miss(const struct hf_review_cell *cell)
{
    return cell->recent != (1u << cell->recent_count) - 1;
}

static void print_weakest(const struct review_asked *asked, const struct review_row *rows,
                          size_t count)
{
    struct ranked ranked[REVIEW_TRIADS * REVIEW_SIX];
    size_t marked = 0;
    for (size_t i = 0; i < count;
         i++) /* what came every time is not weak, however seldom that was */
        if (rows[i].cell && has_miss(rows[i].cell))
            ranked[marked++] = (struct ranked){&rows[i], 1 - hf_review_lower(rows[i].cell)};
    if (marked > 0)
        qsort(ranked, marked, sizeof ranked[0], compare_ranked);
    for (size_t i = 0; i < marked && i < LISTED; i++) {
        const struct hf_review_cell *cell = ranked[i].row->cell;
        char pair[2 * HF_QUERY_TEXT], ago[32];
        double low, high;
        hf_review_wilson(cell->got, cell->got + cell->missed, &low, &high);
        hf_paragraph_print(LABEL, i == 0 ? "Weakest" : "", "%s: got %u of %u (%.0f to %.0f %%), %s",
                           pair_text(asked, ranked[i].row, pair), cell->got,
                           cell->got + cell->missed, 100 * low, 100 * high,
                           ago_text(ranked[i].row, asked->today, ago));
    }
}

/* What has not come for longest; those that never came are told as a number. */
static void print_longest(const struct review_asked *asked, const struct review_row *rows,
                          size_t count)
{
    struct ranked ranked[REVIEW_TRIADS * REVIEW_SIX];
    size_t once = 0, never = 0;
    for (size_t i = 0; i < count; i++) {
        if (came(&rows[i]))
            ranked[once++] =
                (struct ranked){&rows[i], hf_review_days_since(rows[i].cell, asked->today)};
        never += !came(&rows[i]);
    }
    if (once > 0)
        qsort(ranked, once, sizeof ranked[0], compare_ranked);
    for (size_t i = 0; i < once && i < 2; i++) {
        char pair[2 * HF_QUERY_TEXT], ago[32];
        hf_paragraph_print(LABEL, i == 0 ? "Longest ago" : "", "%s: %s",
                           pair_text(asked, ranked[i].row, pair),
                           ago_text(ranked[i].row, asked->today, ago));
    }
    if (never > 0)
        hf_paragraph_print(LABEL, once ? "" : "Longest ago", "%zu of the %d never came", never,
                           REVIEW_TRIADS * REVIEW_SIX);
}

/* The last days, or all as bars. */
static void print_days(const struct hf_review *review)
{
    struct hf_paragraph p;
    size_t first = review->day_count > DAYS_SHOWN ? review->day_count - DAYS_SHOWN : 0;
    hf_paragraph_begin(&p, LABEL, "Last days");
    for (size_t i = first; i < review->day_count; i++) {
        int y, m, d;
        hf_review_date(review->days[i].day, &y, &m, &d);
        hf_paragraph_add_whole(&p, "%02d-%02d: %.0f min%s", m, d,
                               (double)review->days[i].ms / MINUTE_MS,
                               i + 1 < review->day_count ? ",  " : "");
    }
    hf_paragraph_end(&p);
}

static void print_bars(const struct hf_review *review)
{
    int64_t most = 1;
    for (size_t i = 0; i < review->day_count; i++)
        most = review->days[i].ms > most ? review->days[i].ms : most;
    for (size_t i = 0; i < review->day_count; i++) {
        const struct hf_review_day *day = &review->days[i];
        char date[REVIEW_DATE], bar[BARS + 1];
        int length = (int)((day->ms * BARS + most / 2) / most);
        memset(bar, '=', sizeof bar);
        bar[length] = 0;
        printf("%-*s%s %6.1f%s%s\n", LABEL, i == 0 ? "Minutes" : "",
               review_date_text(day->day, date), (double)day->ms / MINUTE_MS, length ? "  " : "",
               bar);
    }
    printf("\n");
}

/* The last levels of ear training, where they changed. */
static void print_levels(const struct hf_review *review)
{
    struct hf_paragraph p;
    size_t changes = 0, shown = 0;
    int before = 0;
    for (size_t i = 0; i < review->day_count; i++)
        if (review->days[i].level_last && review->days[i].level_last != before) {
            before = review->days[i].level_last;
            changes++;
        }
    if (changes == 0)
        return;
    hf_paragraph_begin(&p, LABEL, "Ear level");
    before = 0;
    for (size_t i = 0; i < review->day_count; i++) {
        const struct hf_review_day *day = &review->days[i];
        char date[REVIEW_DATE];
        if (!day->level_last || day->level_last == before)
            continue;
        before = day->level_last;
        if (shown++ + 8 >= changes)
            hf_paragraph_add(&p, "%s%d from %s", shown > 1 && shown + 7 > changes ? ",  " : "",
                             before, review_date_text(day->day, date));
    }
    hf_paragraph_end(&p);
}

static void print_roam(const struct review_asked *asked, const struct review_row *rows,
                       size_t count)
{
    struct ranked ranked[REVIEW_TRIADS * REVIEW_SIX];
    size_t roamed = 0;
    for (size_t i = 0; i < count; i++)
        if (rows[i].cell && rows[i].cell->roam_ms > 0)
            ranked[roamed++] = (struct ranked){&rows[i], (double)rows[i].cell->roam_ms};
    if (roamed > 0)
        qsort(ranked, roamed, sizeof ranked[0], compare_ranked);
    for (size_t i = 0; i < roamed && i < LISTED; i++) {
        char pair[2 * HF_QUERY_TEXT];
        hf_paragraph_print(LABEL, i == 0 ? "Roamed" : "", "%s: %.1f min",
                           pair_text(asked, ranked[i].row, pair), ranked[i].weight / MINUTE_MS);
    }
}

/* All answers to the 24 together. */
static void print_answers(const struct review_row *rows, size_t count)
{
    uint32_t tenths[HF_REVIEW_TENTHS_MOST + 1] = {0};
    struct hf_review_cell all = {.tenths = tenths, .tenths_room = HF_REVIEW_TENTHS_MOST + 1};
    for (size_t i = 0; i < count; i++)
        for (int t = 0; rows[i].cell && t < rows[i].cell->tenths_room; t++)
            if (t <= HF_REVIEW_TENTHS_MOST)
                tenths[t] += rows[i].cell->tenths[t];
    if (hf_review_answers(&all) > 0)
        hf_paragraph_print(LABEL, "Answers",
                           "%u, median %.1f s, half of them between %.1f and %.1f s",
                           hf_review_answers(&all), hf_review_quantile(&all, 0.5),
                           hf_review_quantile(&all, 0.25), hf_review_quantile(&all, 0.75));
}

/* ---- figures --------------------------------------------------------------------------------- */

static void print_counts(struct hf_paragraph *p, const uint32_t *counts, int count,
                         const char *(*word)(int))
{
    bool first = true;
    for (int i = 0; i < count; i++)
        if (counts[i] > 0) {
            hf_paragraph_add(p, "%s%s %u", first ? "" : ", ", word(i), counts[i]);
            first = false;
        }
}

static const char *way_word(int way)
{
    return hf_review_way_word((enum hf_review_way)way);
}

static const char *register_word(int where)
{
    return hf_review_register_word((enum hf_review_register)where);
}

static const char *frets_text(const struct hf_review_shape *shape, char text[HF_SHAPE_TEXT])
{
    size_t length = 0;
    text[0] = 0;
    for (int i = 0; i < shape->strings; i++) {
        int wrote = shape->frets[i] == HF_SILENT
                        ? snprintf(text + length, HF_SHAPE_TEXT - length, "%sx", i ? "-" : "")
                        : snprintf(text + length, HF_SHAPE_TEXT - length, "%s%d", i ? "-" : "",
                                   shape->frets[i]);
        length += wrote > 0 ? (size_t)wrote : 0;
    }
    return shape->strings ? text : "others";
}

/* The shapes that came most. */
static void print_shapes(struct hf_paragraph *p, const struct hf_review_cell *cell)
{
    uint32_t below = UINT32_MAX;
    char text[HF_SHAPE_TEXT];
    for (int shown = 0; shown < 3;) {
        uint32_t most = 0;
        for (size_t i = 0; i < cell->shape_count; i++)
            if (cell->shapes[i].cued < below && cell->shapes[i].cued > most)
                most = cell->shapes[i].cued;
        if (most == 0)
            return;
        for (size_t i = 0; i < cell->shape_count && shown < 3; i++)
            if (cell->shapes[i].cued == most)
                hf_paragraph_add(p, "%s%s %u", shown++ ? ", " : "; ",
                                 frets_text(&cell->shapes[i], text), most);
        below = most;
    }
}

static void print_figures(const struct review_asked *asked, const struct review_row *row)
{
    const struct hf_review_cell *cell = row->cell;
    char pair[2 * HF_QUERY_TEXT], date[REVIEW_DATE], rate[32] = "", answers[48] = "";
    uint32_t marked = cell->got + cell->missed;
    if (marked > 0) {
        double low, high;
        hf_review_wilson(cell->got, marked, &low, &high);
        snprintf(rate, sizeof rate, "%u/%u  %.0f-%.0f %%", cell->got, marked, 100 * low,
                 100 * high);
    }
    if (hf_review_answers(cell) > 0)
        snprintf(answers, sizeof answers, "%.1f s (%.1f-%.1f)", hf_review_quantile(cell, 0.5),
                 hf_review_quantile(cell, 0.25), hf_review_quantile(cell, 0.75));
    printf("%c %-19.19s %5u  %-17s %-17s %s\n", hf_review_sign(cell), pair_text(asked, row, pair),
           cell->cued, rate, answers, review_date_text(cell->last_day, date));
    struct hf_paragraph p;
    hf_paragraph_begin(&p, 4, "");
    print_counts(&p, cell->ways, HF_REVIEW_WAYS, way_word);
    if (cell->cued > 0)
        hf_paragraph_add(&p, "; ");
    print_counts(&p, cell->registers, HF_REVIEW_REGISTERS, register_word);
    print_shapes(&p, cell);
    if (cell->found > 0)
        hf_paragraph_add(&p, "%sfound %u in hunt", cell->cued ? "; " : "", cell->found);
    hf_paragraph_end(&p);
}

static void print_table(const struct review_asked *asked, const struct review_row *rows,
                        size_t count)
{
    struct review_row other;
    size_t at = 0;
    printf("  %-19s %5s  %-17s %-17s %s\n", "Completion", "cued", "got, 95 % between",
           "answered (half)", "last");
    for (size_t i = 0; i < count; i++)
        if (came(&rows[i]))
            print_figures(asked, &rows[i]);
    while (review_next_other(&asked->files.review, &at, &other))
        if (came(&other))
            print_figures(asked, &other);
}

/* ---- the page -------------------------------------------------------------------------------- */

static void print_left(const struct review_asked *asked)
{
    for (size_t i = 0; i < asked->files.left_count; i++) {
        const struct hf_review_left *left = &asked->files.left[i];
        printf("%-*s", LABEL, i == 0 ? "Left out" : "");
        hf_cli_print_file(left->file);
        printf("\n");
        hf_paragraph_print(LABEL + 2, "", "%s", left->why);
    }
}

static void print_sum(const struct review_asked *asked)
{
    const struct hf_review *review = &asked->files.review;
    char length[32], first[REVIEW_DATE], last[REVIEW_DATE];
    int64_t ms = 0;
    for (size_t i = 0; i < review->day_count; i++)
        ms += review->days[i].ms;
    hf_paragraph_print(LABEL, "Practised", "%s in %u session%s on %zu day%s, %s to %s",
                       length_text(ms, length), review->sessions, review->sessions == 1 ? "" : "s",
                       review->day_count, review->day_count == 1 ? "" : "s",
                       review_date_text(review->days[0].day, first),
                       review_date_text(review->days[review->day_count - 1].day, last));
}

/* Which sessions were asked for, where none is one. */
static void print_wish(const struct review_asked *asked)
{
    const struct hf_review_filter *filter = &asked->filter;
    char shown[HF_REQUEST_TEXT], date[REVIEW_DATE];
    if (filter->label) {
        snprintf(shown, sizeof shown, "%s", filter->label);
        hf_text_disarm(shown);
        printf("labelled \"%s\" ", shown);
    }
    if (filter->has_since)
        printf("since %s ", review_date_text(filter->since, date));
    printf("to review");
}

void review_page(const struct review_asked *asked)
{
    const struct hf_review *review = &asked->files.review;
    struct review_row rows[REVIEW_TRIADS * REVIEW_SIX];
    size_t count = sizeof rows / sizeof *rows;
    if (review->sessions == 0) {
        printf("No session ");
        print_wish(asked);
        if (!asked->named) {
            printf(" in ");
            hf_cli_print_file(asked->directory);
        }
        printf(".\n");
        print_left(asked);
        return;
    }
    review_rows(review, rows);
    print_sum(asked);
    print_days(review);
    print_map(asked, rows);
    print_weakest(asked, rows, count);
    print_longest(asked, rows, count);
    print_levels(review);
    if (review->near_right + review->near_wrong > 0)
        hf_paragraph_print(LABEL, "Near misses", "told from the six %u times of %u",
                           review->near_right, review->near_right + review->near_wrong);
    print_roam(asked, rows, count);
    print_answers(rows, count);
    if (asked->detail) {
        printf("\n");
        print_bars(review);
        print_table(asked, rows, count);
    }
    print_left(asked);
}
