/* SPDX-License-Identifier: MIT */
/* The page as a file. Invariant: what cairo writes goes to a temporary file, which takes the name
 * only once all of it is there. */
#include <holdfast/review_plot.h>

#include <string.h>

#include <holdfast/wholefile.h>

#include "review_draw.h"

#if HF_CAIRO

#include <cairo-pdf.h>
#include <cairo-svg.h>
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

/* What cairo writes, and the first thing that went wrong with it. */
struct sink {
    struct hf_wholefile *file;
    enum hf_status status;
    struct hf_diag why;
};

static cairo_status_t write_bytes(void *self, const unsigned char *bytes, unsigned length)
{
    struct sink *sink = self;
    if (sink->status == HF_OK)
        sink->status = hf_wholefile_write(sink->file, bytes, length, &sink->why);
    return sink->status == HF_OK ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
}

static cairo_surface_t *open_surface(const char *path, int32_t today, struct sink *sink)
{
    if (ends_with(path, ".svg"))
        return cairo_svg_surface_create_for_stream(write_bytes, sink, REVIEW_PAGE_WIDTH,
                                                   REVIEW_PAGE_HEIGHT);
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(
        write_bytes, sink, REVIEW_PAGE_WIDTH, REVIEW_PAGE_HEIGHT);
    char date[40];
    int y, m, d;
    hf_review_date(today, &y, &m, &d); /* the same review on the same day is the same file */
    snprintf(date, sizeof date, "%04d-%02d-%02dT00:00:00Z", y, m, d);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, date);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, "What was practised");
    return surface;
}

/* Draws through cairo into the file; every write has been made when this returns. */
static enum hf_status draw(const struct hf_review *review, int32_t today, enum hf_names names,
                           const char *path, struct sink *sink, struct hf_diag *diag)
{
    cairo_surface_t *surface = open_surface(path, today, sink);
    cairo_t *cr = cairo_create(surface);
    review_draw(cr, review, today, names);
    cairo_show_page(cr);
    cairo_status_t drawn = cairo_status(cr);
    cairo_destroy(cr);
    cairo_surface_finish(surface);
    cairo_status_t written = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    if (sink->status != HF_OK) {
        if (diag)
            *diag = sink->why;
        return sink->status;
    }
    if (drawn == CAIRO_STATUS_SUCCESS)
        drawn = written;
    if (drawn == CAIRO_STATUS_SUCCESS)
        return HF_OK;
    return hf_fail(diag, drawn == CAIRO_STATUS_NO_MEMORY ? HF_E_MEMORY : HF_E_IO,
                   "cannot draw %.200s: %s", path, cairo_status_to_string(drawn));
}

enum hf_status hf_review_plot(const struct hf_review *review, int32_t today, enum hf_names names,
                              const char *path, struct hf_diag *diag)
{
    struct sink sink = {.status = HF_OK};
    enum hf_status status = hf_review_plot_check(path, diag);
    if (status == HF_OK)
        status = hf_wholefile_open(&sink.file, path, diag);
    if (status != HF_OK)
        return status;
    status = draw(review, today, names, path, &sink, diag);
    if (status == HF_OK)
        return hf_wholefile_commit(sink.file, diag);
    hf_wholefile_discard(sink.file);
    return status;
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
