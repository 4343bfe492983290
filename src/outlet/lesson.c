/* SPDX-License-Identifier: MIT */
/* The page put together. Invariants: what runs and what styles is named by its digest in the
 * policy, and nothing else may; texts from outside reach the page only as data, or escaped; no byte
 * depends on a clock, on chance or on where the file goes. */
#include <holdfast/lesson.h>

#include <stdlib.h>
#include <string.h>

#include <holdfast/base64.h>
#include <holdfast/jsonmemory.h>
#include <holdfast/sha256.h>
#include <holdfast/version.h>

#include "lesson_parts.h"

enum { DIGEST_TEXT = 45 };

struct page {
    const struct hf_lesson *lesson;
    struct hf_wholefile *file;
    struct hf_lesson_sounds sounds;
    int made;
};

/* ---- pieces ---------------------------------------------------------------------------------- */

static enum hf_status put(const struct page *page, const char *text, struct hf_diag *diag)
{
    return hf_wholefile_write(page->file, text, strlen(text), diag);
}

static enum hf_status put_asset(const struct page *page, const struct hf_lesson_asset *asset,
                                struct hf_diag *diag)
{
    return hf_wholefile_write(page->file, asset->bytes, asset->length, diag);
}

/* As text of an element. */
static enum hf_status put_escaped(const struct page *page, const char *text, struct hf_diag *diag)
{
    enum hf_status status = HF_OK;
    for (const char *c = text; *c && status == HF_OK; c++) {
        const char *as = *c == '<'   ? "&lt;"
                         : *c == '>' ? "&gt;"
                         : *c == '&' ? "&amp;"
                         : *c == '"' ? "&quot;"
                                     : NULL;
        status = as ? put(page, as, diag) : hf_wholefile_write(page->file, c, 1, diag);
    }
    return status;
}

static void digest_of(const struct hf_lesson_asset *asset, char text[DIGEST_TEXT])
{
    unsigned char digest[HF_SHA256_BYTES];
    hf_sha256(asset->bytes, asset->length, digest);
    text[hf_base64(digest, sizeof digest, text)] = 0;
}

static enum hf_status put_head(const struct page *page, struct hf_diag *diag)
{
    const char *label = page->lesson->head->request.text[HF_OPT_LABEL];
    char script[DIGEST_TEXT], style[DIGEST_TEXT], text[1024];
    digest_of(&hf_lesson_script, script);
    digest_of(&hf_lesson_style, style);
    snprintf(text, sizeof text,
             "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
             "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
             "script-src 'sha256-%s'; style-src 'sha256-%s'; img-src data:; base-uri 'none'; "
             "form-action 'none'\">\n"
             "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
             "<meta name=\"color-scheme\" content=\"light dark\">\n"
             "<meta name=\"generator\" content=\"%s\">\n"
             "<link rel=\"icon\" href=\"data:,\">\n<title>",
             script, style, HF_PROGRAM " " HF_VERSION);
    enum hf_status status = put(page, text, diag);
    if (status == HF_OK)
        status = put_escaped(page, label, diag);
    if (status == HF_OK)
        status =
            put(page, label[0] ? ": a lesson</title>\n<style>" : "A lesson</title>\n<style>", diag);
    if (status == HF_OK)
        status = put_asset(page, &hf_lesson_style, diag);
    return status == HF_OK ? put(page, "</style>\n</head>\n<body>\n", diag) : status;
}

/* ---- data ------------------------------------------------------------------------------------ */

/* In JSON a < can only stand in a string, where it may be written as an escape. */
static enum hf_status put_json(const struct page *page, const char *text, struct hf_diag *diag)
{
    enum hf_status status = HF_OK;
    while (*text && status == HF_OK) {
        size_t plain = strcspn(text, "<");
        status = hf_wholefile_write(page->file, text, plain, diag);
        text += plain;
        if (*text && status == HF_OK) {
            status = put(page, "\\u003c", diag);
            text++;
        }
    }
    return status;
}

static enum hf_status put_data(const struct page *page, struct hf_diag *diag)
{
    json_t *data = hf_lesson_data(page->lesson, &page->sounds, diag);
    if (!data)
        return HF_E_MEMORY;
    char *text = json_dumps(data, JSON_COMPACT | JSON_ENSURE_ASCII | JSON_REAL_PRECISION(9));
    json_decref(data);
    if (!text || hf_jsonmemory_failed()) {
        free(text);
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    }
    enum hf_status status = put(page, "<script type=\"application/json\" id=\"lesson\">", diag);
    if (status == HF_OK)
        status = put_json(page, text, diag);
    free(text);
    return status == HF_OK ? put(page, "</script>\n", diag) : status;
}

/* ---- sound ----------------------------------------------------------------------------------- */

static enum hf_status put_sound(const struct page *page, const char *kind, int index,
                                const unsigned char *bytes, size_t length, struct hf_diag *diag)
{
    char tag[80];
    size_t size = hf_base64_length(length);
    char *text = malloc(size + 1);
    if (!text)
        return hf_fail(diag, HF_E_MEMORY, "out of memory for the sound");
    hf_base64(bytes, length, text);
    snprintf(tag, sizeof tag, "<script type=\"text/plain\" id=\"%s-%d\">", kind, index);
    enum hf_status status = put(page, tag, diag);
    if (status == HF_OK)
        status = hf_wholefile_write(page->file, text, size, diag);
    free(text);
    return status == HF_OK ? put(page, "</script>\n", diag) : status;
}

static enum hf_status advance(struct page *page, struct hf_diag *diag)
{
    const struct hf_lesson *lesson = page->lesson;
    page->made++;
    double done = (double)page->made / (page->sounds.loops.count + page->sounds.clips.count);
    return lesson->progress && !lesson->progress(lesson->self, done)
               ? hf_fail(diag, HF_E_IO, "interrupted")
               : HF_OK;
}

static enum hf_status put_loop(struct page *page, int index, struct hf_diag *diag)
{
    struct hf_loop *loop = NULL;
    unsigned char *bytes = NULL;
    size_t length = 0;
    enum hf_status status = hf_lesson_loop(page->lesson, &page->sounds, index, &loop, diag);
    if (status == HF_OK)
        status = hf_lesson_encode_loop(page->lesson, loop, index, &bytes, &length, diag);
    hf_loop_free(loop);
    if (status == HF_OK)
        status = put_sound(page, "loop", index, bytes, length, diag);
    free(bytes);
    return status == HF_OK ? advance(page, diag) : status;
}

static enum hf_status put_clip(struct page *page, int index, struct hf_diag *diag)
{
    const struct hf_lesson_notes *notes = &page->sounds.clips.item[index];
    unsigned char *bytes = NULL;
    size_t length = 0;
    enum hf_status status =
        hf_lesson_encode_clip(page->lesson, notes, index, &bytes, &length, diag);
    if (status == HF_OK)
        status = put_sound(page, "clip", index, bytes, length, diag);
    free(bytes);
    return status == HF_OK ? advance(page, diag) : status;
}

static enum hf_status put_sounds(struct page *page, struct hf_diag *diag)
{
    enum hf_status status = HF_OK;
    if (page->lesson->synth)
        return HF_OK;
    for (int i = 0; status == HF_OK && i < page->sounds.loops.count; i++)
        status = put_loop(page, i, diag);
    for (int i = 0; status == HF_OK && i < page->sounds.clips.count; i++)
        status = put_clip(page, i, diag);
    return status;
}

/* ---- the whole ------------------------------------------------------------------------------- */

enum hf_status hf_lesson_write(const struct hf_lesson *lesson, struct hf_wholefile *file,
                               struct hf_diag *diag)
{
    struct page page = {.lesson = lesson, .file = file};
    enum hf_status status = hf_lesson_sounds_find(lesson, &page.sounds, diag);
    if (status != HF_OK)
        return status;
    status = put_head(&page, diag);
    if (status == HF_OK)
        status = put_asset(&page, &hf_lesson_body, diag);
    if (status == HF_OK)
        status = put_data(&page, diag);
    if (status == HF_OK)
        status = put_sounds(&page, diag);
    if (status == HF_OK)
        status = put(&page, "<script>", diag);
    if (status == HF_OK)
        status = put_asset(&page, &hf_lesson_script, diag);
    if (status == HF_OK)
        status = put(&page, "</script>\n</body>\n</html>\n", diag);
    hf_lesson_sounds_free(&page.sounds);
    return status;
}
