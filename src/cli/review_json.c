/* SPDX-License-Identifier: MIT */
/* The review for other programs. Invariant: a row of a completion has the same members in the same
 * order whatever is known of it. */
#include "review.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/text.h>

/* ---- numbers --------------------------------------------------------------------------------- */

/* To so many steps a unit, half away from zero. */
static double rounded(double x, double steps)
{
    return (double)(int64_t)(x * steps + 0.5) / steps;
}

static json_t *minutes(int64_t ms)
{
    return json_real(rounded((double)ms / 60000, 10));
}

static json_t *date(int32_t day)
{
    char text[REVIEW_DATE];
    return json_string(review_date_text(day, text));
}

static bool came(const struct hf_review_cell *cell)
{
    return cell && (cell->cued > 0 || cell->found > 0);
}

/* ---- rows ------------------------------------------------------------------------------------ */

static json_t *completion(const struct review_row *row)
{
    static const struct hf_review_cell none;
    const struct hf_review_cell *cell = row->cell ? row->cell : &none;
    uint32_t marked = cell->got + cell->missed;
    double low = 0, high = 0;
    if (marked > 0)
        hf_review_wilson(cell->got, marked, &low, &high);
    return json_pack("{s:o,s:o,s:i,s:i,s:I,s:I,s:I,s:o,s:o,s:o}", "held", hf_query_pcs(row->held),
                     "pcs", hf_query_pcs(row->pcs), "kind", row->kind, "position", row->position,
                     "cued", (json_int_t)cell->cued, "got", (json_int_t)cell->got, "missed",
                     (json_int_t)cell->missed, "low",
                     marked ? json_real(rounded(low, 100)) : json_null(), "high",
                     marked ? json_real(rounded(high, 100)) : json_null(), "last",
                     came(cell) ? date(cell->last_day) : json_null());
}

static json_t *completions(const struct review_asked *asked)
{
    struct review_row rows[REVIEW_TRIADS * REVIEW_SIX];
    json_t *array = json_array();
    review_rows(&asked->files.review, rows);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        array = hf_query_append(array, completion(&rows[i]));
    return array;
}

static json_t *others(const struct review_asked *asked)
{
    struct review_row row;
    size_t at = 0;
    json_t *array = json_array();
    while (review_next_other(&asked->files.review, &at, &row))
        array = hf_query_append(array, completion(&row));
    return array;
}

/* ---- details --------------------------------------------------------------------------------- */

static bool put(json_t *object, const char *key, json_t *value)
{
    return json_object_set_new(object, key, value) == 0;
}

static json_t *ways(const struct hf_review_cell *cell)
{
    json_t *object = json_object();
    bool fine = object != NULL;
    for (int way = 0; way < HF_REVIEW_WAYS; way++)
        if (cell->ways[way] > 0)
            fine = fine && put(object, hf_review_way_word((enum hf_review_way)way),
                               json_integer(cell->ways[way]));
    return object;
}

static json_t *registers(const struct hf_review_cell *cell)
{
    return json_pack("{s:I,s:I,s:I}", "above", (json_int_t)cell->registers[HF_REVIEW_ABOVE],
                     "through", (json_int_t)cell->registers[HF_REVIEW_THROUGH], "below",
                     (json_int_t)cell->registers[HF_REVIEW_BELOW]);
}

/* Frets from the lowest string, null for a silent one; an empty list for all that are told no
 * more. */
static json_t *shapes(const struct hf_review_cell *cell)
{
    json_t *array = json_array();
    for (size_t i = 0; i < cell->shape_count; i++) {
        const struct hf_review_shape *shape = &cell->shapes[i];
        json_t *frets = json_array();
        for (int string = 0; string < shape->strings; string++)
            frets = hf_query_append(frets, shape->frets[string] == HF_SILENT
                                               ? json_null()
                                               : json_integer(shape->frets[string]));
        array = hf_query_append(
            array, json_pack("{s:o,s:I}", "frets", frets, "cued", (json_int_t)shape->cued));
    }
    return array;
}

static json_t *seconds(const struct hf_review_cell *cell, double share)
{
    return hf_review_answers(cell) ? json_real(hf_review_quantile(cell, share)) : json_null();
}

static json_t *details(const struct hf_review *review)
{
    json_t *array = json_array();
    for (size_t i = 0; i < review->cell_count; i++) {
        const struct hf_review_cell *cell = &review->cells[i];
        array = hf_query_append(
            array, json_pack("{s:o,s:o,s:o,s:o,s:o,s:I,s:o,s:o,s:o,s:I,s:o}", "held",
                             hf_query_pcs(cell->held), "pcs", hf_query_pcs(cell->pcs), "ways",
                             ways(cell), "registers", registers(cell), "shapes", shapes(cell),
                             "answers", (json_int_t)hf_review_answers(cell), "median_s",
                             seconds(cell, 0.5), "lower_quartile_s", seconds(cell, 0.25),
                             "upper_quartile_s", seconds(cell, 0.75), "found",
                             (json_int_t)cell->found, "roam_minutes", minutes(cell->roam_ms)));
    }
    return array;
}

/* ---- the whole ------------------------------------------------------------------------------- */

static json_t *days(const struct hf_review *review)
{
    json_t *array = json_array();
    for (size_t i = 0; i < review->day_count; i++)
        array = hf_query_append(array, json_pack("{s:o,s:o,s:I}", "date", date(review->days[i].day),
                                                 "minutes", minutes(review->days[i].ms), "sessions",
                                                 (json_int_t)review->days[i].sessions));
    return array;
}

static json_t *levels(const struct hf_review *review)
{
    json_t *array = json_array();
    for (size_t i = 0; i < review->day_count; i++) {
        const struct hf_review_day *day = &review->days[i];
        if (day->level_last > 0)
            array =
                hf_query_append(array, json_pack("{s:o,s:i,s:i}", "date", date(day->day), "level",
                                                 day->level_last, "highest", day->level_top));
    }
    return array;
}

static json_t *left_out(const struct review_asked *asked)
{
    json_t *array = json_array();
    for (size_t i = 0; i < asked->files.left_count; i++) {
        const struct hf_review_left *left = &asked->files.left[i];
        /* a name that is no UTF-8 can't be in JSON as it is */
        char file[1024], why[1024];
        snprintf(file, sizeof file, "%s", left->file);
        snprintf(why, sizeof why, "%s", left->why);
        hf_text_disarm(file);
        hf_text_disarm(why);
        array = hf_query_append(array, json_pack("{s:s,s:s}", "file", file, "why", why));
    }
    return array;
}

enum hf_status review_json(const struct review_asked *asked, struct hf_diag *diag)
{
    const struct hf_review *review = &asked->files.review;
    return hf_query_print(
        json_pack("{s:i,s:o,s:o,s:o,s:o,s:o,s:o,s:{s:I,s:I}}", "holdfast", 1, "days", days(review),
                  "completions", completions(asked), "left_out", left_out(asked), "others",
                  others(asked), "details", details(review), "ear", levels(review), "near_misses",
                  "right", (json_int_t)review->near_right, "wrong", (json_int_t)review->near_wrong),
        diag);
}

/* ---- CSV ------------------------------------------------------------------------------------- */

static void print_set(const struct review_asked *asked, hf_pcset set)
{
    char names[HF_QUERY_TEXT];
    printf("\"%s\",", hf_query_spell(set, asked->query.names, names));
}

static void print_row(const struct review_asked *asked, const struct review_row *row)
{
    static const struct hf_review_cell none;
    const struct hf_review_cell *cell = row->cell ? row->cell : &none;
    uint32_t marked = cell->got + cell->missed;
    char day[REVIEW_DATE];
    print_set(asked, row->held);
    print_set(asked, row->pcs);
    printf("%d,%d,%u,%u,%u,", row->kind, row->position, cell->cued, cell->got, cell->missed);
    if (marked > 0) {
        double low, high;
        hf_review_wilson(cell->got, marked, &low, &high);
        printf("%.2f,%.2f,", low, high);
    } else {
        printf(",,");
    }
    if (hf_review_answers(cell) > 0)
        printf("%.1f,%.1f,%.1f,", hf_review_quantile(cell, 0.5), hf_review_quantile(cell, 0.25),
               hf_review_quantile(cell, 0.75));
    else
        printf(",,,");
    printf("%s", came(cell) ? review_date_text(cell->last_day, day) : "");
    for (int way = 0; way < HF_REVIEW_WAYS; way++)
        printf(",%u", cell->ways[way]);
    for (int where = 0; where < HF_REVIEW_REGISTERS; where++)
        printf(",%u", cell->registers[where]);
    printf(",%zu,%u,%.1f\r\n", cell->shape_count, cell->found, (double)cell->roam_ms / 60000);
}

void review_csv(const struct review_asked *asked)
{
    struct review_row rows[REVIEW_TRIADS * REVIEW_SIX], other;
    size_t at = 0;
    printf("held,pcs,kind,position,cued,got,missed,low,high,median_s,lower_quartile_s,"
           "upper_quartile_s,last");
    for (int way = 0; way < HF_REVIEW_WAYS; way++)
        printf(",%s", hf_review_way_word((enum hf_review_way)way));
    for (int where = 0; where < HF_REVIEW_REGISTERS; where++)
        printf(",%s", hf_review_register_word((enum hf_review_register)where));
    printf(",shapes,found,roam_minutes\r\n"); /* RFC 4180 ends its lines so */
    review_rows(&asked->files.review, rows);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        print_row(asked, &rows[i]);
    while (review_next_other(&asked->files.review, &at, &other))
        print_row(asked, &other);
}
