/* SPDX-License-Identifier: MIT */
/*
 * soundfile_parts: what the files of this module share: the table of formats, and the points of a
 * WAV file. Not for others.
 */
#ifndef HOLDFAST_OUTLET_SOUNDFILE_PARTS_H
#define HOLDFAST_OUTLET_SOUNDFILE_PARTS_H

#include <sndfile.h>

#include <holdfast/soundfile.h>

/* HF_E_USAGE where the extension, the bits or the rate can't be. */
enum hf_status hf_soundfile_check(const char *path, const struct hf_soundfile_form *form,
                                  struct hf_diag *diag) HF_CHECKED;

/* Container and coding of a file. */
int hf_soundfile_library_format(const struct hf_soundfile_format *format,
                                const struct hf_soundfile_form *form);

/* The chunks that stand after the sound of a WAV file and hold its points with their labels, up to
 * HF_SOUNDFILE_POINTS_MOST. Yours to free; NULL: no memory. */
unsigned char *hf_soundfile_points_chunks(const struct hf_soundfile_point *points, size_t count,
                                          size_t *length) HF_CHECKED;

/* What an MP3 file says of itself, to stand before its sound; a length of 0 for nothing. Yours to
 * free; NULL: no memory. */
unsigned char *hf_soundfile_tag(const struct hf_soundfile_form *form, size_t *length) HF_CHECKED;

#endif
