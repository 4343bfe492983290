/* SPDX-License-Identifier: MIT */
/*
 * review: what the command of that name was asked, and the pages that answer it. The clock and the
 * place of the journals are found here; what is counted is the business of session/review.
 *
 * The caller owns everything. Main thread only.
 */
#ifndef HOLDFAST_CLI_REVIEW_H
#define HOLDFAST_CLI_REVIEW_H

#include <holdfast/query.h>
#include <holdfast/review_files.h>

struct review_asked {
    struct hf_query query;
    struct hf_review_filter filter;
    bool csv, detail, run, dry_run;
    int plan_minutes; /* 0: no plan */
    const char *file; /* -o */

    bool named;           /* journals were named: */
    char directory[1024]; /* else they are in here */
    int32_t today;
    struct hf_review_files files;
};

/* One row of 24: the completions of the four augmented triads by 016, whatever was cued. */
enum { REVIEW_TRIADS = 4, REVIEW_SIX = 6 };
struct review_row {
    hf_pcset held, pcs;
    int kind, position;
    const struct hf_review_cell *cell; /* NULL: it never came */
};
void review_rows(const struct hf_review *review,
                 struct review_row rows[REVIEW_TRIADS * REVIEW_SIX]);

/* The cells that are none of the 24, with their kind and position (0 where they have none). Returns
 * whether there is one at `*at`, and moves it on. */
bool review_next_other(const struct hf_review *review, size_t *at, struct review_row *row);

/* "2026-11-25" */
enum { REVIEW_DATE = 32 };
char *review_date_text(int32_t day, char text[REVIEW_DATE]);

/* Today by the local clock; now in nanoseconds since 1970. */
int32_t review_today(void);
int64_t review_now_ns(void);

/* Reads the player's own journals, those of play. */
enum hf_status review_read_own(const struct hf_review_filter *filter, struct hf_review_files *files,
                               char *directory, size_t size, struct hf_diag *diag) HF_CHECKED;

/* On stdout. */
void review_page(const struct review_asked *asked);
enum hf_status review_json(const struct review_asked *asked, struct hf_diag *diag) HF_CHECKED;
void review_csv(const struct review_asked *asked);

/* The plan, printed or run; the exit status. */
int review_plan(const struct review_asked *asked);

#endif
