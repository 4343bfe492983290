/* SPDX-License-Identifier: MIT */
/*
 * request_read: what the files of the request share; each function stands in the file named above
 * it. For src/session/request*.c and nobody else.
 */
#ifndef HOLDFAST_REQUEST_READ_H
#define HOLDFAST_REQUEST_READ_H

#include <holdfast/request.h>

/* request_read.c */
/* Reads an option into a copy of the request, which is to be thrown away on failure. HF_E_USAGE. */
enum hf_status request_read_option(struct hf_request *request, enum hf_option key, const char *text,
                                   struct hf_diag *diag) HF_CHECKED;

/* Reads the date YYYY-MM-DD as days since 1970-01-01. */
enum hf_status request_read_day(const char *text, long *out, struct hf_diag *diag) HF_CHECKED;

/* request_warmup.c: what a warm-up has by default, and what it refuses. */
enum hf_status request_resolve_warmup(struct hf_request *r, struct hf_diag *diag) HF_CHECKED;
/* request_choose.c */
/* Where the player begins each cue: what follows from that, and what can't be asked for with it.
 * Other practices stay as they are. HF_E_USAGE. */
enum hf_status request_fit_choice(struct hf_request *request, struct hf_diag *diag) HF_CHECKED;

/* request_quiz.c: what the practices ear and sight have by default, and what they refuse. */
enum hf_status request_check_ear(struct hf_request *r, struct hf_diag *diag) HF_CHECKED;
enum hf_status request_check_sight(struct hf_request *r, struct hf_diag *diag) HF_CHECKED;

/* request_breathe.c: what cues whose length breathes go with, and where they begin. */
enum hf_status request_check_breathe(struct hf_request *r, struct hf_diag *diag) HF_CHECKED;

/* request_improvise.c: what goes with guided improvisation alone. */
enum hf_status request_check_improvise(struct hf_request *r, struct hf_diag *diag) HF_CHECKED;

#endif
