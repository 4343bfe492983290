/* SPDX-License-Identifier: MIT */
/* Invariant: what cairo writes goes to a temporary file, which takes the name only once all of it
 * is there. */
#include "canvas.h"

#if HF_CAIRO

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <stdbool.h>
#include <string.h>

#include <holdfast/wholefile.h>

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

static bool is_png(const char *path)
{
    size_t length = strlen(path);
    return length > 4 && strcmp(path + length - 4, ".png") == 0;
}

static cairo_surface_t *open_surface(const struct hf_canvas *c, const char *path, struct sink *sink)
{
    size_t length = strlen(path);
    if (is_png(path))
        return cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)c->width, (int)c->height);
    if (length > 4 && strcmp(path + length - 4, ".svg") == 0)
        return cairo_svg_surface_create_for_stream(write_bytes, sink, c->width, c->height);
    cairo_surface_t *surface =
        cairo_pdf_surface_create_for_stream(write_bytes, sink, c->width, c->height);
    if (c->date)
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, c->date);
    if (c->title)
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, c->title);
    return surface;
}

/* Draws through cairo into the file; every write has been made when this returns. */
static enum hf_status draw(const struct hf_canvas *canvas, const char *path, struct sink *sink,
                           struct hf_diag *diag)
{
    cairo_surface_t *surface = open_surface(canvas, path, sink);
    cairo_t *cr = cairo_create(surface);
    canvas->draw(canvas->self, cr);
    cairo_show_page(cr);
    cairo_status_t drawn = cairo_status(cr);
    cairo_destroy(cr);
    if (is_png(path) && drawn == CAIRO_STATUS_SUCCESS)
        drawn = cairo_surface_write_to_png_stream(surface, write_bytes, sink);
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

enum hf_status hf_canvas_write(const struct hf_canvas *canvas, const char *path,
                               struct hf_diag *diag)
{
    struct sink sink = {.status = HF_OK};
    enum hf_status status = hf_wholefile_open(&sink.file, path, diag);
    if (status != HF_OK)
        return status;
    status = draw(canvas, path, &sink, diag);
    if (status == HF_OK)
        return hf_wholefile_commit(sink.file, diag);
    hf_wholefile_discard(sink.file);
    return status;
}

#else

/* A file of C has something in it. */
extern int hf_canvas_is_not_built;

#endif
