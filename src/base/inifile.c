/* SPDX-License-Identifier: MIT */
/* Invariant: bytes are only looked at, by their own value; no locale has a say. */
#include <holdfast/inifile.h>

#include <stdbool.h>
#include <string.h>

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

/* Length of the UTF-8 character at s (Unicode 15, table 3-7), 0 where there is none. */
static size_t character(const unsigned char *s, size_t left)
{
    size_t n = s[0] < 0x80 ? 1 : s[0] < 0xc2 ? 0 : s[0] < 0xe0 ? 2 : s[0] < 0xf0 ? 3 : 4;
    if (s[0] > 0xf4 || n == 0 || n > left)
        return 0;
    for (size_t i = 1; i < n; i++)
        if ((s[i] & 0xc0) != 0x80)
            return 0;
    bool too_long = (s[0] == 0xe0 && s[1] < 0xa0) || (s[0] == 0xf0 && s[1] < 0x90);
    bool surrogate = s[0] == 0xed && s[1] > 0x9f;
    bool too_high = s[0] == 0xf4 && s[1] > 0x8f;
    return too_long || surrogate || too_high ? 0 : n;
}

static const char *line_fault(const char *line, size_t length)
{
    const unsigned char *s = (const unsigned char *)line;
    if (length > HF_INIFILE_LINE_MOST)
        return "line of more than 199 bytes";
    for (size_t i = 0; i < length;) {
        size_t n = character(s + i, length - i);
        if (n == 0)
            return "not UTF-8";
        if ((s[i] < 0x20 && s[i] != '\t') || s[i] == 0x7f || (s[i] == 0xc2 && s[i + 1] < 0xa0))
            return "control byte";
        i += n;
    }
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
