/* SPDX-License-Identifier: MIT */
/* Invariant: text from outside (the title, names) can end no line, field or caption. */
#include <holdfast/cuesheet.h>

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A text that grows; the stream notes a failure and keeps it. */
struct page {
    FILE *stream;
    char *text;
    size_t length;
};

static enum hf_status begin(struct page *page, struct hf_diag *diag)
{
    *page = (struct page){0};
    page->stream = open_memstream(&page->text, &page->length);
    return page->stream ? HF_OK : hf_fail(diag, HF_E_MEMORY, "out of memory");
}

static enum hf_status finish(struct page *page, char **text, size_t *length, struct hf_diag *diag)
{
    int failed = ferror(page->stream);
    failed |= fclose(page->stream);
    if (failed) {
        free(page->text);
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    }
    *text = page->text;
    *length = page->length;
    return HF_OK;
}

/* ---- captions -------------------------------------------------------------------------------- */

/* WebVTT 4.1: & and < have a meaning in a caption, and "-->" must not stand in one. */
static void caption_text(FILE *out, const char *text)
{
    for (const char *c = text; *c; c++) {
        if (*c == '&')
            fputs("&amp;", out);
        else if (*c == '<')
            fputs("&lt;", out);
        else if (*c == '>')
            fputs("&gt;", out);
        else
            fputc((unsigned char)*c < ' ' ? ' ' : *c, out);
    }
}

static int64_t milliseconds(int64_t frames, int rate_hz)
{
    return (int64_t)((double)frames * 1000 / rate_hz + 0.5);
}

static void caption_time(FILE *out, int64_t ms)
{
    fprintf(out, "%02" PRId64 ":%02d:%02d.%03d", ms / 3600000, (int)(ms / 60000 % 60),
            (int)(ms / 1000 % 60), (int)(ms % 1000));
}

/* One caption from `from` to `to`; none where that is no time at all. */
static void caption(FILE *out, const struct hf_cuesheet *sheet, int64_t from, int64_t to,
                    const char *verb, const char *text)
{
    int64_t begins = milliseconds(from, sheet->rate_hz), ends = milliseconds(to, sheet->rate_hz);
    if (begins >= ends)
        return;
    caption_time(out, begins);
    fputs(" --> ", out);
    caption_time(out, ends);
    fputc('\n', out);
    fputs(verb, out);
    caption_text(out, text);
    fputs("\n\n", out);
}

static int64_t within(int64_t time, const struct hf_cuesheet_row *row)
{
    return time < row->at ? row->at : time > row->end ? row->end : time;
}

static void captions_of(FILE *out, const struct hf_cuesheet *sheet,
                        const struct hf_cuesheet_row *row)
{
    int64_t tell = within(row->tell, row), hear = within(row->hear, row);
    int64_t sounds = hear > tell ? hear : tell;
    caption(out, sheet, row->at, tell, "", row->before);
    caption(out, sheet, tell, sounds, "find ", row->names);
    caption(out, sheet, sounds, row->end, "hear ", row->pitches);
}

enum hf_status hf_cuesheet_captions(const struct hf_cuesheet *sheet, char **text, size_t *length,
                                    struct hf_diag *diag)
{
    struct page page;
    enum hf_status status = begin(&page, diag);
    if (status != HF_OK)
        return status;
    fputs("WEBVTT", page.stream);
    if (sheet->title[0]) {
        fputs(" ", page.stream);
        caption_text(page.stream, sheet->title);
    }
    fputs("\n\n", page.stream);
    for (size_t i = 0; i < sheet->count; i++)
        captions_of(page.stream, sheet, &sheet->rows[i]);
    return finish(&page, text, length, diag);
}

/* ---- the table ------------------------------------------------------------------------------- */

/* RFC 4180, 2: quoted where it must be, quotes doubled. A text that a spreadsheet could take for a
 * formula can't come: names begin with a letter or a digit. */
static void field(FILE *out, const char *text)
{
    fputc(',', out);
    if (!strpbrk(text, ",\"\r\n")) {
        fputs(text, out);
        return;
    }
    fputc('"', out);
    for (const char *c = text; *c; c++) {
        if (*c == '"')
            fputc('"', out);
        fputc(*c, out);
    }
    fputc('"', out);
}

static void time_field(FILE *out, int64_t frames, int rate_hz)
{
    fputc(',', out);
    if (frames == HF_CUESHEET_NEVER)
        return;
    int64_t whole = frames / rate_hz;
    int64_t millionths = (int64_t)((double)(frames % rate_hz) * 1e6 / rate_hz + 0.5);
    fprintf(out, "%" PRId64 ".%06" PRId64, whole, millionths);
}

enum hf_status hf_cuesheet_table(const struct hf_cuesheet *sheet, char **text, size_t *length,
                                 struct hf_diag *diag)
{
    struct page page;
    enum hf_status status = begin(&page, diag);
    if (status != HF_OK)
        return status;
    fputs("cue,at_s,tell_s,hear_s,end_s,id,names,pitches,held,frets,mark\r\n", page.stream);
    for (size_t i = 0; i < sheet->count; i++) {
        const struct hf_cuesheet_row *row = &sheet->rows[i];
        fprintf(page.stream, "%ld", row->number);
        time_field(page.stream, row->at, sheet->rate_hz);
        time_field(page.stream, row->tell, sheet->rate_hz);
        time_field(page.stream, row->hear, sheet->rate_hz);
        time_field(page.stream, row->end, sheet->rate_hz);
        fprintf(page.stream, ",%d", row->id);
        field(page.stream, row->names);
        field(page.stream, row->pitches);
        field(page.stream, row->held);
        field(page.stream, row->frets);
        field(page.stream, row->mark);
        fputs("\r\n", page.stream);
    }
    return finish(&page, text, length, diag);
}
