/* SPDX-License-Identifier: MIT */
/* review: what was practised, what is weak. Invariant: a file that can't be counted is told and
 * left out, and never stops the rest. */
#include "review.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

#include <holdfast/number.h>
#include <holdfast/review_plot.h>

enum {
    TAKE_SINCE = 1,
    TAKE_LABEL,
    TAKE_CSV,
    TAKE_DETAIL,
    TAKE_FILE,
    TAKE_PLAN,
    TAKE_RUN,
    TAKE_DRY_RUN
};
enum { PLAN_LEAST = 4, PLAN_MOST = 240 };

const struct hf_cli_option hf_cli_review_options[] = {
    {"since", 0, "WHEN", "sessions from a date (2026-11-01) or so many days back (30d) on",
     TAKE_SINCE},
    {"label", 0, "TEXT", "only sessions with this label", TAKE_LABEL},
    {"detail", 0, NULL, "tell ways, registers and shapes of each completion", TAKE_DETAIL},
    {"csv", 0, NULL, "print a row of figures for each completion", TAKE_CSV},
    {"output-file", 'o', "FILE", "draw it: FILE.svg or FILE.pdf", TAKE_FILE},
    {"plan", 0, "SPAN", "propose what to do today in 4m to 4h, as commands", TAKE_PLAN},
    {"run", 0, NULL, "with --plan: play them in turn; q goes on to the next, Ctrl-C\nleaves",
     TAKE_RUN},
    {"dry-run", 0, NULL, "with --run: go through them without a sound", TAKE_DRY_RUN},
    {NULL, 0, NULL, NULL, 0},
};

/* ---- options --------------------------------------------------------------------------------- */

static enum hf_status take_since(struct review_asked *asked, const char *text, struct hf_diag *diag)
{
    size_t length = strlen(text);
    long days = 0;
    asked->filter.has_since = true;
    if (hf_review_parse_date(text, length, &asked->filter.since))
        return HF_OK;
    if (length > 1 && text[length - 1] == 'd' &&
        hf_number_whole(text, length - 1, 0, 100000, &days) == HF_NUMBER_FINE) {
        asked->filter.since = review_today() - (int32_t)days;
        return HF_OK;
    }
    hf_fail(diag, HF_E_USAGE, "since \"%.60s\" is no day", text);
    hf_advise(diag, "write a date as in 2026-11-01, or days back as in 30d");
    return HF_E_USAGE;
}

static enum hf_status take_plan(struct review_asked *asked, const char *text, struct hf_diag *diag)
{
    size_t length = strlen(text);
    double amount = 0;
    char unit = length ? text[length - 1] : 0;
    bool fine = (unit == 'm' || unit == 'h') &&
                hf_number_real(text, length - 1, 0, 1e6, &amount) == HF_NUMBER_FINE;
    double minutes = unit == 'h' ? amount * 60 : amount;
    if (!fine || minutes < PLAN_LEAST || minutes > PLAN_MOST) {
        hf_fail(diag, HF_E_USAGE, "plan \"%.60s\" is no time from %dm to %dh", text, PLAN_LEAST,
                PLAN_MOST / 60);
        hf_advise(diag, "write it as in 20m or 1h");
        return HF_E_USAGE;
    }
    asked->plan_minutes = (int)minutes;
    return HF_OK;
}

static enum hf_status take(void *self, int code, const char *text, struct hf_diag *diag)
{
    struct review_asked *asked = self;
    switch (code) {
    case TAKE_SINCE:
        return take_since(asked, text, diag);
    case TAKE_LABEL:
        asked->filter.label = text;
        return HF_OK;
    case TAKE_CSV:
        asked->csv = true;
        return HF_OK;
    case TAKE_DETAIL:
        asked->detail = true;
        return HF_OK;
    case TAKE_FILE:
        asked->file = text;
        return HF_OK;
    case TAKE_PLAN:
        return take_plan(asked, text, diag);
    case TAKE_RUN:
        asked->run = true;
        return HF_OK;
    case TAKE_DRY_RUN:
        asked->dry_run = true;
        return HF_OK;
    default:
        return hf_query_take(&asked->query, code, text, diag);
    }
}

static enum hf_status check(const struct review_asked *asked, struct hf_diag *diag)
{
    int forms = asked->csv + asked->query.json + (asked->file != NULL) + (asked->plan_minutes > 0);
    if (asked->run && !asked->plan_minutes)
        return hf_fail(diag, HF_E_USAGE, "--run goes with --plan SPAN");
    if (asked->dry_run && !asked->run)
        return hf_fail(diag, HF_E_USAGE, "--dry-run goes with --run");
    if (forms > 1)
        return hf_fail(diag, HF_E_USAGE, "choose one of --json, --csv, -o FILE and --plan");
    return asked->file ? hf_review_plot_check(asked->file, diag) : HF_OK;
}

/* ---- clock and place ------------------------------------------------------------------------- */

int32_t review_today(void)
{
    time_t now = time(NULL);
    struct tm local;
    localtime_r(&now, &local);
    return hf_review_day_of(local.tm_year + 1900, local.tm_mon + 1, local.tm_mday);
}

int64_t review_now_ns(void)
{
    struct timespec now;
    clock_gettime(CLOCK_REALTIME, &now);
    return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

enum hf_status review_read_own(const struct hf_review_filter *filter, struct hf_review_files *files,
                               char *directory, size_t size, struct hf_diag *diag)
{
    if (!hf_cli_state_path("", directory, size)) {
        hf_fail(diag, HF_E_INPUT, "no place for journals: neither HOME nor XDG_STATE_HOME is set");
        hf_advise(diag, "name the journals");
        return HF_E_INPUT;
    }
    return hf_review_directory(directory, review_now_ns(), filter, files, diag);
}

/* ---- rows ------------------------------------------------------------------------------------ */

void review_rows(const struct hf_review *review, struct review_row rows[REVIEW_TRIADS * REVIEW_SIX])
{
    for (int triad = 0; triad < REVIEW_TRIADS; triad++) {
        struct hf_completion six[HF_COMPLETIONS_MOST];
        hf_pcset held = hf_review_triad(triad);
        hf_pairing_complete(held, hf_setclass_find(3, 5), six);
        for (int i = 0; i < REVIEW_SIX; i++)
            rows[triad * REVIEW_SIX + i] =
                (struct review_row){.held = held,
                                    .pcs = six[i].pcs,
                                    .kind = six[i].kind,
                                    .position = six[i].position,
                                    .cell = hf_review_find(review, held, six[i].pcs)};
    }
}

static bool is_triad(hf_pcset set)
{
    return hf_setclass_of(set) == hf_setclass_find(3, 12);
}

bool review_next_other(const struct hf_review *review, size_t *at, struct review_row *row)
{
    const struct hf_setclass *added = hf_setclass_find(3, 5);
    for (; *at < review->cell_count; (*at)++) {
        const struct hf_review_cell *cell = &review->cells[*at];
        struct hf_completion all[HF_COMPLETIONS_MOST];
        if (is_triad(cell->held) && hf_setclass_of(cell->pcs) == added)
            continue;
        *row = (struct review_row){.held = cell->held, .pcs = cell->pcs, .cell = cell};
        int count = hf_pairing_complete(cell->held, hf_setclass_of(cell->pcs), all);
        for (int i = 0; i < count; i++)
            if (all[i].pcs == cell->pcs) {
                row->kind = all[i].kind;
                row->position = all[i].position;
            }
        (*at)++;
        return true;
    }
    return false;
}

char *review_date_text(int32_t day, char text[REVIEW_DATE])
{
    int y, m, d;
    hf_review_date(day, &y, &m, &d);
    snprintf(text, REVIEW_DATE, "%04d-%02d-%02d", y, m, d);
    return text;
}

/* ---- the command ----------------------------------------------------------------------------- */

static enum hf_status draw(const struct review_asked *asked, struct hf_diag *diag)
{
    enum hf_status status =
        hf_review_plot(&asked->files.review, asked->today, asked->query.names, asked->file, diag);
    if (status == HF_OK) {
        printf("Drawn: ");
        hf_cli_print_file(asked->file);
        printf("\n");
    }
    return status;
}

/* Where the answer has no room to list them. */
static void warn_left(const struct review_asked *asked)
{
    size_t count = asked->files.left_count;
    if (count > 0 && (asked->plan_minutes || asked->csv || asked->file))
        hf_cli_warn("%zu file%s left out: a plain review says why", count,
                    count == 1 ? " is" : "s are");
}

static int answer(const struct review_asked *asked)
{
    struct hf_diag diag = {0};
    enum hf_status status = HF_OK;
    warn_left(asked);
    if (asked->plan_minutes)
        return review_plan(asked);
    if (asked->query.json)
        status = review_json(asked, &diag);
    else if (asked->csv)
        review_csv(asked);
    else if (asked->file)
        status = draw(asked, &diag);
    else
        review_page(asked);
    return status == HF_OK ? hf_cli_finish() : hf_cli_fail(status, &diag);
}

int hf_cli_review(const struct hf_cli_command *command, int argc, char **argv)
{
    struct review_asked asked = {0};
    struct hf_diag diag = {0};
    int first = 0;
    bool stop = false;
    enum hf_status status = hf_cli_parse(command, argc, argv, take, &asked, &first, &stop, &diag);
    if (stop)
        return hf_cli_finish();
    if (status == HF_OK)
        status = check(&asked, &diag);
    asked.today = review_today();
    asked.named = first < argc;
    if (status == HF_OK && asked.named)
        status = hf_review_named(argv + first, (size_t)(argc - first), &asked.filter, &asked.files,
                                 &diag);
    else if (status == HF_OK)
        status = review_read_own(&asked.filter, &asked.files, asked.directory,
                                 sizeof asked.directory, &diag);
    if (status != HF_OK)
        return hf_cli_fail(status, &diag);
    int result = answer(&asked);
    hf_review_files_deinit(&asked.files);
    return result;
}
