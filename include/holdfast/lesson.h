/* SPDX-License-Identifier: MIT */
/*
 * lesson: one page of HTML that plays a session in a browser, keeps the student's marks and gives
 * them back as a journal. It carries everything it needs (script, style, sound or the numbers that
 * sound is made from), refers to nothing outside, and is the same for the same session.
 *
 * The caller owns what it passes. Not for the audio thread; one page at a time for each file.
 */
#ifndef HOLDFAST_LESSON_H
#define HOLDFAST_LESSON_H

#include <holdfast/fretboard.h>
#include <holdfast/journal.h>
#include <holdfast/patch.h>
#include <holdfast/timeline.h>
#include <holdfast/wholefile.h>

struct hf_lesson {
    const struct hf_head *head; /* as the student's journals will have it, but for `started` */
    const struct hf_patch *held_patch, *added_patch; /* of the head's texts */
    const struct hf_timeline *timeline;              /* its cues are the page's, in their order */
    bool synth;                                      /* numbers instead of sound */
    /* Hears how much of the sound is made (0 to 1); false stops. May be NULL. */
    bool (*progress)(void *self, double done);
    void *self;
};

/* Writes the page. HF_E_MEMORY, HF_E_IO (also when it was stopped), HF_E_USAGE for a rate that the
 * sound inside can't have. */
enum hf_status hf_lesson_write(const struct hf_lesson *lesson, struct hf_wholefile *file,
                               struct hf_diag *diag) HF_CHECKED;

#endif
