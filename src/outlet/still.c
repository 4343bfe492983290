/* SPDX-License-Identifier: MIT */
/* Invariant: everything fits, whatever the names are: a line that is too wide is drawn smaller. */
#include <holdfast/still.h>

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "canvas.h"

#if HF_CAIRO

/* Dark on light: 13.9 to 1 by the WCAG 2.2 formula, the smaller print 6.7 to 1. */
static const double ground = 0.98, ink = 0.16, small_ink = 0.35;

struct view {
    const struct hf_cuesheet *sheet;
    const struct hf_cuesheet_row *row;
};

/* A line of text in the middle, `size` pixels high or as much less as it must be. */
static void line(cairo_t *cr, const char *text, double size, double y, double grey)
{
    cairo_text_extents_t extents;
    double width = HF_STILL_WIDTH * 0.9;
    cairo_set_font_size(cr, size);
    cairo_text_extents(cr, text, &extents);
    if (extents.width > width) {
        cairo_set_font_size(cr, size * width / extents.width);
        cairo_text_extents(cr, text, &extents);
    }
    cairo_set_source_rgb(cr, grey, grey, grey);
    cairo_move_to(cr, (HF_STILL_WIDTH - extents.width) / 2 - extents.x_bearing, y);
    cairo_show_text(cr, text);
}

static void clock_text(int64_t frames, int rate_hz, char text[32])
{
    if (frames == HF_CUESHEET_NEVER) {
        snprintf(text, 32, "never");
        return;
    }
    int64_t tenths = (int64_t)((double)frames * 10 / rate_hz + 0.5);
    snprintf(text, 32, "%" PRId64 ":%02d.%d", tenths / 600, (int)(tenths / 10 % 60),
             (int)(tenths % 10));
}

static void draw(void *self, cairo_t *cr)
{
    const struct view *v = self;
    char text[400], at[32], hear[32], end[32];
    cairo_set_source_rgb(cr, ground, ground, ground);
    cairo_paint(cr);
    cairo_select_font_face(cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_BOLD);
    line(cr, v->row->names, 230, 400, ink);
    cairo_select_font_face(cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    snprintf(text, sizeof text, "%ld of %zu", v->row->number, v->sheet->count);
    line(cr, text, 44, 100, small_ink);
    snprintf(text, sizeof text, "over %s%s%s", v->row->held, v->row->frets[0] ? "   " : "",
             v->row->frets);
    line(cr, text, 60, 510, ink);
    clock_text(v->row->at, v->sheet->rate_hz, at);
    clock_text(v->row->hear, v->sheet->rate_hz, hear);
    clock_text(v->row->end, v->sheet->rate_hz, end);
    snprintf(text, sizeof text, "from %s   sounds %s   to %s", at, hear, end);
    line(cr, text, 44, 640, small_ink);
}

enum hf_status hf_still_check(struct hf_diag *diag)
{
    (void)diag;
    return HF_OK;
}

enum hf_status hf_still_write(const struct hf_cuesheet *sheet, size_t index, const char *path,
                              struct hf_diag *diag)
{
    struct view view = {sheet, &sheet->rows[index]};
    struct hf_canvas canvas = {
        .width = HF_STILL_WIDTH, .height = HF_STILL_HEIGHT, .draw = draw, .self = &view};
    return hf_canvas_write(&canvas, path, diag);
}

#else

enum hf_status hf_still_check(struct hf_diag *diag)
{
    hf_fail(diag, HF_E_USAGE, "pictures are drawn by cairo, which this holdfast was built without");
    hf_advise(diag, "install libcairo2-dev and build again");
    return HF_E_USAGE;
}

enum hf_status hf_still_write(const struct hf_cuesheet *sheet, size_t index, const char *path,
                              struct hf_diag *diag)
{
    (void)sheet;
    (void)index;
    (void)path;
    return hf_still_check(diag);
}

#endif
