/* SPDX-License-Identifier: MIT */
/* Invariant: until it is written a paragraph is one line, its words parted by blanks and, within
 * what is to stay together, by JOINT; no other control byte is in it. */
#include <holdfast/paragraph.h>

#include <stdarg.h>
#include <stdbool.h>
#include <string.h>

enum { JOINT = '\1' };

void hf_paragraph_begin(struct hf_paragraph *p, int indent, const char *label)
{
    p->indent = indent < HF_PARAGRAPH_INDENT ? indent : HF_PARAGRAPH_INDENT;
    p->length = 0;
    p->text[0] = '\0';
    hf_paragraph_add_whole(p, "%-*s%s", p->indent, label,
                           indent && strlen(label) >= (size_t)indent ? " " : "");
}

void hf_paragraph_hang(struct hf_paragraph *p, int first, int indent)
{
    hf_paragraph_begin(p, first, "");
    p->indent = indent < HF_PARAGRAPH_INDENT ? indent : HF_PARAGRAPH_INDENT;
}

static void add(struct hf_paragraph *p, const char *format, va_list args)
{
    size_t room = sizeof p->text - p->length;
    int wrote = vsnprintf(p->text + p->length, room, format, args);
    if (wrote > 0)
        p->length += (size_t)wrote < room ? (size_t)wrote : room - 1;
}

void hf_paragraph_add(struct hf_paragraph *p, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    add(p, format, args);
    va_end(args);
}

void hf_paragraph_add_whole(struct hf_paragraph *p, const char *format, ...)
{
    size_t from = p->length;
    va_list args;
    va_start(args, format);
    add(p, format, args);
    va_end(args);
    for (; from < p->length; from++)
        if (p->text[from] == ' ')
            p->text[from] = JOINT;
}

static bool is_gap(char c)
{
    return c == ' ' || c == JOINT;
}

/* Where a line that begins at `from` ends, `room` columns being free: at the end of the text, else
 * at the last blank that fits, else at the last joint, else in the middle of a word. */
static size_t line_end(const struct hf_paragraph *p, size_t from, int room)
{
    size_t blank = 0, joint = 0, at = from;
    for (int column = 0; at < p->length; at++) {
        if (at > from && p->text[at] == ' ' && !is_gap(p->text[at - 1]))
            blank = at;
        if (at > from && p->text[at] == JOINT && !is_gap(p->text[at - 1]))
            joint = at;
        bool starts = ((unsigned char)p->text[at] & 0xc0) != 0x80; /* a code point */
        if (starts && column++ == room && !is_gap(p->text[at]))
            return blank ? blank : joint ? joint : at;
        if (column > room) /* only blanks are over: the next word tells whether all fits */
            column = room;
    }
    return at;
}

static void write_line(const struct hf_paragraph *p, size_t from, size_t to, int indent, FILE *out)
{
    while (to > from && is_gap(p->text[to - 1]))
        to--;
    if (to > from)
        fprintf(out, "%*s", indent, "");
    for (; from < to; from++)
        putc(p->text[from] == JOINT ? ' ' : p->text[from], out);
    putc('\n', out);
}

void hf_paragraph_write(const struct hf_paragraph *p, FILE *out)
{
    size_t from = 0;
    int indent = 0;
    do {
        size_t to = line_end(p, from, HF_PARAGRAPH_WIDTH - indent);
        write_line(p, from, to, indent, out);
        for (from = to; from < p->length && is_gap(p->text[from]);)
            from++;
        indent = p->indent;
    } while (from < p->length);
}

void hf_paragraph_end(const struct hf_paragraph *p)
{
    hf_paragraph_write(p, stdout);
}

void hf_paragraph_print(int indent, const char *label, const char *format, ...)
{
    struct hf_paragraph p;
    va_list args;
    hf_paragraph_begin(&p, indent, label);
    va_start(args, format);
    add(&p, format, args);
    va_end(args);
    hf_paragraph_end(&p);
}
