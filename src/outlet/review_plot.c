/* SPDX-License-Identifier: MIT */
/* The page of a review as a file. */
#include <holdfast/review_plot.h>

#include <string.h>

#include "canvas.h"
#include "review_draw.h"

#if HF_CAIRO

#include <stdio.h>

static bool ends_with(const char *path, const char *extension)
{
    size_t length = strlen(path), size = strlen(extension);
    return length > size && strcmp(path + length - size, extension) == 0;
}

enum hf_status hf_review_plot_check(const char *path, struct hf_diag *diag)
{
    if (ends_with(path, ".svg") || ends_with(path, ".pdf"))
        return HF_OK;
    hf_fail(diag, HF_E_USAGE, "a review is drawn as .svg or .pdf, not as %.200s", path);
    hf_advise(diag, "name it FILE.svg or FILE.pdf");
    return HF_E_USAGE;
}

struct page {
    const struct hf_review *review;
    int32_t today;
    enum hf_names names;
};

static void draw_page(void *self, cairo_t *cr)
{
    const struct page *page = self;
    review_draw(cr, page->review, page->today, page->names);
}

enum hf_status hf_review_plot(const struct hf_review *review, int32_t today, enum hf_names names,
                              const char *path, struct hf_diag *diag)
{
    enum hf_status status = hf_review_plot_check(path, diag);
    if (status != HF_OK)
        return status;
    struct page page = {review, today, names};
    char date[40];
    int y, m, d;
    hf_review_date(today, &y, &m, &d); /* the same review on the same day is the same file */
    snprintf(date, sizeof date, "%04d-%02d-%02dT00:00:00Z", y, m, d);
    struct hf_canvas canvas = {.width = REVIEW_PAGE_WIDTH,
                               .height = REVIEW_PAGE_HEIGHT,
                               .title = "What was practised",
                               .date = date,
                               .draw = draw_page,
                               .self = &page};
    return hf_canvas_write(&canvas, path, diag);
}

#else

enum hf_status hf_review_plot_check(const char *path, struct hf_diag *diag)
{
    hf_fail(diag, HF_E_USAGE, "cannot draw %.200s: this holdfast was built without cairo", path);
    hf_advise(diag, "install libcairo2-dev and build again, or use --json or --csv");
    return HF_E_USAGE;
}

enum hf_status hf_review_plot(const struct hf_review *review, int32_t today, enum hf_names names,
                              const char *path, struct hf_diag *diag)
{
    (void)review;
    (void)today;
    (void)names;
    return hf_review_plot_check(path, diag);
}

#endif
