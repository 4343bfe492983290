/* SPDX-License-Identifier: MIT */
/*
 * canvas: a page drawn by cairo into a file, whole or not at all: .svg, .pdf or .png by its
 * extension. For the drawers in this room; the caller's function draws, this does the rest.
 */
#ifndef HOLDFAST_OUTLET_CANVAS_H
#define HOLDFAST_OUTLET_CANVAS_H

#if HF_CAIRO

#include <cairo.h>

#include <holdfast/status.h>

struct hf_canvas {
    double width, height;     /* points; of a PNG, pixels */
    const char *title, *date; /* of a PDF: RFC 3339, so that the same page is the same file */
    void (*draw)(void *self, cairo_t *cr);
    void *self;
};

/* Errors: those of hf_wholefile_open, HF_E_IO, HF_E_MEMORY. The extension has been checked. */
enum hf_status hf_canvas_write(const struct hf_canvas *canvas, const char *path,
                               struct hf_diag *diag) HF_CHECKED;

#endif
#endif
