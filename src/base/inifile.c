/* SPDX-License-Identifier: MIT */
/* Invariants: bytes are only looked at, by their own value; no locale has a say. A text is checked
 * as a whole before inih sees any of it, and the first fault ends the reading. */
#include <holdfast/inifile.h>

#include <ini.h>
#include <stdio.h>
#include <string.h>

#include <holdfast/text.h>

const char *hf_inifile_line(const char *text, size_t length, size_t *at, size_t *line_length)
{
    const char *line = text + *at;
    const char *end = memchr(line, '\n', length - *at);
    *line_length = end ? (size_t)(end - line) : length - *at;
    *at += *line_length + (end ? 1 : 0);
    if (*line_length > 0 && line[*line_length - 1] == '\r')
        --*line_length;
    return line;
}

bool hf_inifile_next(const char *text, size_t length, size_t *at, char *to, size_t size)
{
    size_t line_length;
    if (*at >= length)
        return false;
    const char *line = hf_inifile_line(text, length, at, &line_length);
    if (line_length >= size)
        line_length = size - 1;
    memcpy(to, line, line_length);
    to[line_length] = '\0';
    return true;
}

static const char *line_fault(const char *line, size_t length)
{
    if (length > HF_INIFILE_LINE_MOST)
        return "line of more than 199 bytes";
    if (!hf_text_is_utf8(line, length))
        return "not UTF-8";
    if (!hf_text_is_plain(line, length, "\t"))
        return "control byte";
    size_t spaces = 0;
    while (spaces < length && (line[spaces] == ' ' || line[spaces] == '\t'))
        spaces++;
    if (spaces > 0 && spaces < length && line[spaces] != ';' && line[spaces] != '#')
        return "line begins with a space";
    return NULL;
}

enum hf_status hf_inifile_check(const char *text, size_t length, const char *filename,
                                const char *what, struct hf_diag *diag)
{
    long number = 0;
    if (length > HF_INIFILE_BYTES_MOST)
        return hf_fail(diag, HF_E_DATA, "%s: more than 64 KiB of text for %s", filename, what);
    for (size_t at = 0; at < length;) {
        size_t line_length;
        const char *line = hf_inifile_line(text, length, &at, &line_length);
        const char *fault = line_fault(line, line_length);
        number++;
        if (!fault)
            continue;
        hf_fail(diag, HF_E_DATA, "%s:%ld: %s", filename, number, fault);
        if (diag)
            diag->line = number;
        return HF_E_DATA;
    }
    return HF_OK;
}

bool hf_inifile_fail(struct hf_inifile_fault *fault, long line, const char *what)
{
    if (!fault->failed) {
        line = line < 1 ? 1 : line;
        hf_fail(fault->diag, HF_E_DATA, "%s:%ld: %s", fault->filename, line, what);
        if (fault->diag)
            fault->diag->line = line;
    }
    fault->failed = true;
    return false;
}

int hf_inifile_fitting(const char *text)
{
    size_t length = strlen(text);
    if (length <= 48)
        return (int)length;
    length = 48;
    while (length > 0 && ((unsigned char)text[length] & 0xc0) == 0x80)
        length--;
    return (int)length;
}

bool hf_inifile_fail_key(struct hf_inifile_fault *fault, long line, const char *section,
                         const char *key, const char *value, const char *what)
{
    char message[320];
    snprintf(message, sizeof message, "[%.*s] %.*s = %.*s: %.150s", hf_inifile_fitting(section),
             section, hf_inifile_fitting(key), key, hf_inifile_fitting(value), value, what);
    return hf_inifile_fail(fault, line, message);
}

bool hf_inifile_fail_range(struct hf_inifile_fault *fault, long line, const char *section,
                           const char *key, const char *value, const char *what, double low,
                           double high)
{
    char message[160];
    snprintf(message, sizeof message, "%s (allowed: %.10g to %.10g)", what, low, high);
    return hf_inifile_fail_key(fault, line, section, key, value, message);
}

/* ---- through inih ---------------------------------------------------------------------------- */

/* Hands inih one line, without its end; lines fit, since hf_inifile_check saw them. */
static char *next_line(char *to, int size, void *user)
{
    struct hf_inifile *file = user;
    if (file->fault.failed ||
        !hf_inifile_next(file->text, file->length, &file->at, to, (size_t)size))
        return NULL;
    file->line++;
    if (to[0] == '[')
        file->section(file->self, to);
    return file->fault.failed ? NULL : to;
}

static int on_key(void *user, const char *section, const char *name, const char *value)
{
    struct hf_inifile *file = user;
    return file->key(file->self, section, name, value);
}

enum hf_status hf_inifile_read(struct hf_inifile *file, const char *what, const char *shape)
{
    struct hf_inifile_fault *fault = &file->fault;
    enum hf_status status =
        hf_inifile_check(file->text, file->length, fault->filename, what, fault->diag);
    if (status != HF_OK)
        return status;
    int malformed = ini_parse_stream(next_line, file, on_key, file);
    if (malformed > 0 && (!fault->failed || malformed < file->line)) {
        fault->failed = false;
        hf_inifile_fail(fault, malformed, shape);
    }
    return fault->failed ? HF_E_DATA : HF_OK;
}
