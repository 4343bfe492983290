/* SPDX-License-Identifier: MIT */
/*
 * lesson_parts: what the parts of the lesson page share: which sounds it needs, and the data that
 * its script reads. Only src/outlet/lesson*.c includes this.
 *
 * The caller owns the list (hf_lesson_sounds_free). One thread at a time.
 */
#ifndef HOLDFAST_LESSON_PARTS_H
#define HOLDFAST_LESSON_PARTS_H

#include <jansson.h>

#include <holdfast/lesson.h>
#include <holdfast/loop.h>

/* A file of the page's own that the build has put into the program. */
struct hf_lesson_asset {
    const unsigned char *bytes;
    size_t length;
};
extern const struct hf_lesson_asset hf_lesson_style, hf_lesson_body, hf_lesson_script;

/* Notes that sound together: each set of them once. */
struct hf_lesson_notes {
    int count;
    uint8_t notes[HF_EVENT_NOTES];
};

struct hf_lesson_list {
    struct hf_lesson_notes *item;
    int count;
};

struct hf_lesson_sounds {
    struct hf_lesson_list loops; /* what is held; empty where nothing of it sounds */
    struct hf_lesson_list clips; /* what is added */
};

/* Frames before and after the period of a loop, so that a player can blend the ends. */
int64_t hf_lesson_lead(int rate_hz);

enum hf_status hf_lesson_sounds_find(const struct hf_lesson *lesson, struct hf_lesson_sounds *out,
                                     struct hf_diag *diag) HF_CHECKED;
void hf_lesson_sounds_free(struct hf_lesson_sounds *sounds);

/* Which one of a list; -1 where it is not there. */
int hf_lesson_list_find(const struct hf_lesson_list *list, const uint8_t *notes, int count);

/* The loop of what is held, for its sound or its numbers. HF_E_MEMORY. */
enum hf_status hf_lesson_loop(const struct hf_lesson *lesson, const struct hf_lesson_sounds *sounds,
                              int index, struct hf_loop **out, struct hf_diag *diag) HF_CHECKED;

/* The sound of a loop (with a lead before and after) or of added notes as they ring out, as Ogg
 * Vorbis; `*bytes` is the caller's to free. */
enum hf_status hf_lesson_encode_loop(const struct hf_lesson *lesson, struct hf_loop *loop,
                                     int index, unsigned char **bytes, size_t *length,
                                     struct hf_diag *diag) HF_CHECKED;
enum hf_status hf_lesson_encode_clip(const struct hf_lesson *lesson,
                                     const struct hf_lesson_notes *notes, int index,
                                     unsigned char **bytes, size_t *length,
                                     struct hf_diag *diag) HF_CHECKED;

/* The numbers that the script makes the same sounds from; NULL without memory. */
json_t *hf_lesson_loop_numbers(struct hf_loop *loop, const struct hf_lesson *lesson,
                               const struct hf_lesson_notes *notes);
json_t *hf_lesson_struck_numbers(const struct hf_lesson *lesson,
                                 const struct hf_lesson_sounds *sounds);
json_t *hf_lesson_room_numbers(const struct hf_lesson *lesson);

/* Where the student chooses: where `next` leads, what helps to find each; null where cues come by
 * themselves. NULL without memory. */
json_t *hf_lesson_choices(const struct hf_request *request);

/* All that the script reads; NULL without memory. */
json_t *hf_lesson_data(const struct hf_lesson *lesson, const struct hf_lesson_sounds *sounds,
                       struct hf_diag *diag);

/* jansson's setters take a NULL value as a failure, so a chain of them fails as a whole. */
static inline bool hf_lesson_put(json_t *object, const char *key, json_t *value)
{
    return json_object_set_new(object, key, value) == 0;
}

/* An object or array that has as many members as it should, or NULL: what could not be made for
 * want of memory is missing in what it was put into, up to the whole. */
static inline json_t *hf_lesson_whole(json_t *value, size_t members)
{
    size_t found = json_is_object(value) ? json_object_size(value) : json_array_size(value);
    if (value && found == members)
        return value;
    json_decref(value);
    return NULL;
}

#endif
